//! What is where on which page, before it is painted.

use std::rc::Rc;

use super::line::Line;
use super::measures::{FOOT, TOP, Type};
use super::structure::Id;
use crate::review::document::drawing::{Colour, Drawing};

/// Something on a page. Lengths are in points from the page's upper left corner.
pub struct Mark {
    /// The element that it belongs to; nothing if it is only for the eye.
    pub of: Option<Id>,
    pub ink: Ink,
}

/// What is seen of a [`Mark`].
pub enum Ink {
    /// A line of text; `y` is its baseline.
    Text {
        x: f32,
        y: f32,
        size: f32,
        colour: Colour,
        line: Line,
    },
    /// A line across.
    Rule {
        x: f32,
        y: f32,
        across: f32,
        width: f32,
        colour: Colour,
    },
    /// A drawing, with points to its unit.
    Drawing {
        x: f32,
        y: f32,
        scale: f32,
        drawing: Rc<Drawing>,
    },
}

/// The pages so far, and how far down the last one is filled.
pub struct Sheets {
    pub pages: Vec<Vec<Mark>>,
    pub y: f32,
    /// Where pages end.
    foot: f32,
}

impl Sheets {
    /// One empty page; `foot` is how much of the text's height is taken by what stands at the foot.
    pub fn new(foot: f32) -> Sheets {
        Sheets {
            pages: vec![Vec::new()],
            y: TOP,
            foot: FOOT - foot,
        }
    }

    /// What is left of the page.
    pub fn room(&self) -> f32 {
        self.foot - self.y
    }

    /// What a whole page has.
    pub fn height(&self) -> f32 {
        self.foot - TOP
    }

    /// Whether nothing stands on the page yet.
    pub fn is_fresh(&self) -> bool {
        self.y <= TOP
    }

    /// Space, but not at the top of a page.
    pub fn space(&mut self, height: f32) {
        if !self.is_fresh() {
            self.y += height;
        }
    }

    /// Begins a page if so much has no room on this one.
    pub fn need(&mut self, height: f32) {
        if height > self.room() && !self.is_fresh() {
            self.turn();
        }
    }

    /// Begins a page.
    pub fn turn(&mut self) {
        self.pages.push(Vec::new());
        self.y = TOP;
    }

    pub fn put(&mut self, of: Option<Id>, ink: Ink) {
        if let Some(page) = self.pages.last_mut() {
            page.push(Mark { of, ink });
        }
    }

    /// A line of text with its upper edge at `y`.
    pub fn text(&mut self, of: Option<Id>, (x, y): (f32, f32), letters: Type, colour: Colour, line: Line) {
        // The baseline is where capitals are in the middle of the line: they are 0.71 em high.
        let y = y + (letters.line + 0.71 * letters.size) / 2.0;
        self.put(
            of,
            Ink::Text {
                x,
                y,
                size: letters.size,
                colour,
                line,
            },
        );
    }
}
