//! Paragraphs.

use super::flow::{Flow, Part, set};
use super::font::Fonts;
use super::line::Line;
use super::measures::{ACROSS, BODY, GAP, LEFT};
use super::structure::Role;
use crate::review::document::Run;
use crate::review::document::text::lines;

struct Paragraph(Vec<Line>);

pub fn part(fonts: &Fonts, runs: &[Run]) -> Option<Box<dyn Part>> {
    let lines = set(fonts, &lines(runs), BODY, ACROSS);
    (!lines.is_empty()).then(|| Box::new(Paragraph(lines)) as Box<dyn Part>)
}

impl Part for Paragraph {
    fn lead(&self) -> f32 {
        self.0.len().min(3) as f32 * BODY.line
    }

    fn place(self: Box<Self>, flow: &mut Flow) {
        let id = flow.structure.add(None, Role::Paragraph);
        flow.ink(id, LEFT, BODY, self.0);
        flow.sheets.y += GAP;
    }
}
