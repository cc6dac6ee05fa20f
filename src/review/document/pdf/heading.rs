//! Headings.

use super::flow::{Flow, Mark, Part, set};
use super::font::Fonts;
use super::line::Line;
use super::measures::{ACROSS, LEFT, heading};
use super::structure::Role;
use crate::review::document::text::one_line;
use crate::review::document::{Level, Run};

struct Heading {
    level: Level,
    text: String,
    lines: Vec<Line>,
}

pub fn part(fonts: &Fonts, level: Level, text: &str) -> Option<Box<dyn Part>> {
    let text = one_line(text);
    let lines = set(fonts, &[vec![Run::strong(&text)]], heading(level).0, ACROSS);
    (!lines.is_empty()).then(|| Box::new(Heading { level, text, lines }) as Box<dyn Part>)
}

impl Part for Heading {
    fn lead(&self) -> f32 {
        let (letters, above, below) = heading(self.level);
        above + self.lines.len() as f32 * letters.line + below
    }

    fn leads_on(&self) -> bool {
        true
    }

    fn place(self: Box<Self>, flow: &mut Flow) {
        let Heading { level, text, lines } = *self;
        let (letters, above, below) = heading(level);
        flow.sheets.space(above);
        let id = flow.structure.add(None, Role::Heading(level, text.clone()));
        let (page, y) = (flow.sheets.pages.len() - 1, flow.sheets.y);
        flow.headings.push(Mark { level, text, page, y });
        flow.ink(id, LEFT, letters, lines);
        flow.sheets.y += below;
    }
}
