//! Cells beside each other, row by row.

use super::flow::Flow;
use super::line::Line;
use super::measures::{CELL, HAIR, INK, LEFT};
use super::sheet::Ink;
use super::structure::Id;
use crate::review::document::Align;
use crate::review::document::drawing::Colour;

/// Between a column and the next.
pub const GUTTER: f32 = 12.0;

/// Where cells stand.
pub struct Grid {
    /// Of each column the width with the gutter behind it, where text is set, and in which colour.
    pub columns: Vec<(f32, Align, Colour)>,
    /// Above and below the text of a row.
    pub around: f32,
    /// Whether a hairline parts a row from the next.
    pub lined: bool,
}

/// A row, each cell as its lines.
#[derive(Clone, Default)]
pub struct Row(pub Vec<Vec<Line>>);

impl Row {
    fn lines(&self) -> usize {
        self.0.iter().map(Vec::len).max().unwrap_or(0).max(1)
    }
}

impl Grid {
    pub fn height(&self, row: &Row) -> f32 {
        row.lines() as f32 * CELL.line + 2.0 * self.around
    }

    /// How much of a row must not be torn from what stands before.
    pub fn lead(&self, row: &Row) -> f32 {
        self.height(row).min(6.0 * CELL.line)
    }

    /// A row whose cells are the elements `ids`; without any, a repetition for the eye. One that is higher than a page
    /// goes on on the next. `turned` is called after every turn of the page.
    pub fn place(&self, flow: &mut Flow, row: Row, ids: &[Id], turned: &dyn Fn(&mut Flow)) {
        let (count, around) = (row.lines(), 2.0 * self.around);
        let whole = self.height(&row);
        let mut cells: Vec<_> = row.0.into_iter().map(Vec::into_iter).collect();
        let mut done = 0;
        while done < count {
            let fit = ((flow.sheets.room() - around) / CELL.line).floor().max(0.0) as usize;
            // A row that fits on a page by itself is not broken.
            let torn = fit < count - done && (done > 0 || whole <= flow.sheets.height() * 0.7);
            if (fit == 0 || torn && done == 0) && !flow.sheets.is_fresh() {
                flow.sheets.turn();
                turned(flow);
                if flow.sheets.room() - around >= CELL.line {
                    continue;
                }
            }
            let now = fit.clamp(1, count - done);
            for (place, cell) in cells.iter_mut().enumerate() {
                let of = ids.get(place).copied();
                for (number, line) in cell.by_ref().take(now).enumerate() {
                    let y = flow.sheets.y + self.around + number as f32 * CELL.line;
                    let (x, colour) = self.at(place, &line);
                    flow.sheets.text(of, (x, y), CELL, colour, line);
                }
            }
            done += now;
            flow.sheets.y += now as f32 * CELL.line + around;
        }
        if self.lined {
            self.rule(flow, 0.4, HAIR);
        }
    }

    /// A line below the last row.
    pub fn rule(&self, flow: &mut Flow, width: f32, colour: Colour) {
        let across: f32 = self.columns.iter().map(|column| column.0).sum::<f32>() - GUTTER;
        let y = flow.sheets.y;
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

    /// Where a line of a column begins, and its colour.
    fn at(&self, place: usize, line: &Line) -> (f32, Colour) {
        let before: f32 = self.columns[..place.min(self.columns.len())]
            .iter()
            .map(|column| column.0)
            .sum();
        let (width, align, colour) = self
            .columns
            .get(place)
            .copied()
            .unwrap_or((0.0, Align::Start, INK));
        let free = width - GUTTER - line.width * CELL.size;
        let by = match align {
            Align::Start => 0.0,
            Align::Middle => free / 2.0,
            Align::End => free,
        };
        (LEFT + before + by.max(0.0), colour)
    }
}
