//! What stands at the foot of every page: the document's own line, and the number of the page.

use super::flow::set;
use super::font::Fonts;
use super::line::Line;
use super::measures::{ACROSS, FOOTER, HAIR, LEFT, RIGHT, SMALL, SOFT};
use super::sheet::{Ink, Mark};
use crate::review::document::Run;
use crate::review::document::text::one_line;

/// Left for the number.
const NUMBER: f32 = 70.0;
/// What is longer is cut off.
const MOST: usize = 6;

/// The foot, which is the same on every page but for the number.
pub struct Footer(Vec<Line>);

impl Footer {
    pub fn new(fonts: &Fonts, text: &str) -> Footer {
        let mut lines = set(fonts, &[vec![Run::plain(one_line(text))]], SMALL, ACROSS - NUMBER);
        lines.truncate(MOST);
        Footer(lines)
    }

    /// How much it takes beyond one line, in points.
    pub fn more(&self) -> f32 {
        self.0.len().saturating_sub(1) as f32 * SMALL.line
    }

    /// Of page `number` of `count`.
    pub fn marks(&self, fonts: &Fonts, number: usize, count: usize) -> Vec<Mark> {
        let top = FOOTER - self.more();
        let rule = Ink::Rule {
            x: LEFT,
            y: top - SMALL.line - 1.0,
            across: ACROSS,
            width: 0.4,
            colour: HAIR,
        };
        let text = |x, y, line| Ink::Text {
            x,
            y,
            size: SMALL.size,
            colour: SOFT,
            line,
        };
        let own = self.0.iter().enumerate();
        let own = own.map(|(place, line)| text(LEFT, top + place as f32 * SMALL.line, line.clone()));
        let number = set(
            fonts,
            &[vec![Run::plain(format!("{number} / {count}"))]],
            SMALL,
            ACROSS,
        );
        let number = number
            .into_iter()
            .map(|line| text(RIGHT - line.width * SMALL.size, top, line));
        [rule]
            .into_iter()
            .chain(own)
            .chain(number)
            .map(|ink| Mark { of: None, ink })
            .collect()
    }
}
