//! Lines: one to sign on, and one across the page.

use super::flow::{Flow, Part, set};
use super::font::Fonts;
use super::line::Line;
use super::measures::{ACROSS, GAP, HAIR, INK, LEFT, SMALL};
use super::sheet::Ink;
use super::structure::Role;
use crate::review::document::Run;
use crate::review::document::text::plain_lines;

/// Room to write, and how long the line is.
const ABOVE: f32 = 40.0;
const LONG: f32 = 230.0;
const MOST: usize = 4;

struct Signature(Vec<Line>);

/// The line across the page.
pub struct Rule;

pub fn part(fonts: &Fonts, text: &str) -> Box<dyn Part> {
    let lines: Vec<_> = plain_lines(text)
        .into_iter()
        .map(|line| vec![Run::plain(line)])
        .collect();
    Box::new(Signature(set(fonts, &lines, SMALL, LONG)))
}

impl Part for Signature {
    fn lead(&self) -> f32 {
        ABOVE + 3.0 + self.0.len().min(MOST) as f32 * SMALL.line
    }

    fn place(self: Box<Self>, flow: &mut Flow) {
        flow.sheets.y += ABOVE;
        rule(flow, LONG, 0.75, true);
        flow.sheets.y += 3.0;
        if !self.0.is_empty() {
            let id = flow.structure.add(None, Role::Paragraph);
            flow.ink(id, LEFT, SMALL, self.0);
        }
        flow.sheets.y += GAP;
    }
}

impl Part for Rule {
    fn lead(&self) -> f32 {
        2.0 * GAP
    }

    fn place(self: Box<Self>, flow: &mut Flow) {
        flow.sheets.y += GAP / 2.0;
        rule(flow, ACROSS, 0.5, false);
        flow.sheets.y += GAP * 1.5;
    }
}

fn rule(flow: &mut Flow, across: f32, width: f32, dark: bool) {
    let (y, colour) = (flow.sheets.y, if dark { INK } else { HAIR });
    flow.sheets.put(
        None,
        Ink::Rule {
            x: LEFT,
            y,
            across,
            width,
            colour,
        },
    );
}
