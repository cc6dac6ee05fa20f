//! Sizes on the page, in points (1/72 inch), and colours of ink.

use crate::review::document::Level;
use crate::review::document::drawing::Colour;

/// A4.
pub const PAGE: (f32, f32) = (595.28, 841.89);
/// Where text begins and ends across the page.
pub const LEFT: f32 = 62.0;
pub const RIGHT: f32 = PAGE.0 - LEFT;
pub const ACROSS: f32 = RIGHT - LEFT;
/// Where it begins and ends down the page.
pub const TOP: f32 = 58.0;
pub const FOOT: f32 = PAGE.1 - 66.0;
/// The last baseline of what stands at the foot.
pub const FOOTER: f32 = PAGE.1 - 36.0;

pub const INK: Colour = [0, 0, 0];
pub const SOFT: Colour = [68, 68, 68];
pub const HAIR: Colour = [170, 170, 170];

/// Letters: how large they are, and how far a line is from the next.
#[derive(Clone, Copy)]
pub struct Type {
    pub size: f32,
    pub line: f32,
}

pub const BODY: Type = Type {
    size: 10.0,
    line: 14.5,
};
pub const SMALL: Type = Type {
    size: 8.5,
    line: 11.5,
};
pub const CELL: Type = Type {
    size: 9.0,
    line: 12.5,
};

/// Of a heading: its letters, and the space above and below it.
pub fn heading(level: Level) -> (Type, f32, f32) {
    match level {
        Level::One => (
            Type {
                size: 19.0,
                line: 25.0,
            },
            8.0,
            10.0,
        ),
        Level::Two => (
            Type {
                size: 13.0,
                line: 17.5,
            },
            18.0,
            5.0,
        ),
        Level::Three => (
            Type {
                size: 10.5,
                line: 14.5,
            },
            12.0,
            3.0,
        ),
    }
}

/// Between a block and the next.
pub const GAP: f32 = 8.0;
