//! Blocks → pages, from top to bottom.

use super::font::Fonts;
use super::line::{Line, Shaped};
use super::measures::{INK, Type};
use super::sheet::Sheets;
use super::structure::{Id, Structure};
use super::{facts, figure, heading, list, paragraph, signature, table};
use crate::review::document::drawing::Colour;
use crate::review::document::{Block, Level, Run};

/// A block that is broken into lines, but not onto pages.
pub trait Part {
    /// How high the beginning is that must not be torn from what stands before, in points.
    fn lead(&self) -> f32;

    /// Whether it must not stand at the end of a page alone.
    fn leads_on(&self) -> bool {
        false
    }

    /// Puts it where the pages end.
    fn place(self: Box<Self>, flow: &mut Flow);
}

/// The pages so far, and what they hold.
pub struct Flow {
    pub sheets: Sheets,
    pub structure: Structure,
    pub headings: Vec<Mark>,
}

/// Where a heading is.
pub struct Mark {
    pub level: Level,
    pub text: String,
    /// Counted from 0.
    pub page: usize,
    /// Its upper edge, in points.
    pub y: f32,
}

impl Flow {
    pub fn blocks(&mut self, fonts: &Fonts, blocks: &[Block]) {
        let parts: Vec<Box<dyn Part>> = blocks.iter().filter_map(|block| part(fonts, block)).collect();
        let mut leads = vec![0.0; parts.len() + 1];
        for (place, part) in parts.iter().enumerate().rev() {
            leads[place] = part.lead() + if part.leads_on() { leads[place + 1] } else { 0.0 };
        }
        for (part, lead) in parts.into_iter().zip(leads) {
            self.sheets.need(lead);
            part.place(self);
        }
    }

    /// Text one line below the other. Neither its first nor its last line stands alone on a page.
    pub fn lines(&mut self, of: Id, x: f32, letters: Type, colour: Colour, lines: Vec<Line>) {
        let count = lines.len();
        for (place, line) in lines.into_iter().enumerate() {
            let together = match (place, count - place) {
                (0, 1..=3) => count,
                (0, _) | (_, 2) => 2,
                _ => 1,
            };
            self.sheets.need(together as f32 * letters.line);
            let y = self.sheets.y;
            self.sheets.text(Some(of), (x, y), letters, colour, line);
            self.sheets.y += letters.line;
        }
    }

    /// The same in the ordinary colour.
    pub fn ink(&mut self, of: Id, x: f32, letters: Type, lines: Vec<Line>) {
        self.lines(of, x, letters, INK, lines);
    }
}

/// Lines of a paragraph, `across` points wide.
pub fn set(fonts: &Fonts, paragraph: &[Vec<Run>], letters: Type, across: f32) -> Vec<Line> {
    let lines = paragraph.iter();
    lines
        .flat_map(|runs| Shaped::new(fonts, runs).lines(across / letters.size))
        .collect()
}

/// Nothing if it has no text.
fn part(fonts: &Fonts, block: &Block) -> Option<Box<dyn Part>> {
    match block {
        Block::Heading(level, text) => heading::part(fonts, *level, text),
        Block::Paragraph(runs) => paragraph::part(fonts, runs),
        Block::List(list) => list::part(fonts, list),
        Block::Facts(facts) => facts::part(fonts, facts),
        Block::Table(table) => table::part(fonts, table),
        Block::Figure(figure) => Some(figure::part(fonts, figure)),
        Block::Signature(text) => Some(signature::part(fonts, text)),
        Block::Rule => Some(Box::new(signature::Rule)),
    }
}
