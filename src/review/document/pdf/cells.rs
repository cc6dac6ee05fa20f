//! The cells of a table, before and after they are broken into lines.

use super::font::Fonts;
use super::grid::{GUTTER, Row};
use super::line::Shaped;
use super::measures::CELL;
use crate::review::document::text::{one_line, plain_lines};
use crate::review::document::{Run, Style, Table};

/// Less than anybody sees: a line that was measured must fit where it was given that much.
const ROUNDING: f32 = 0.1;

/// The lines of a cell, shaped.
type Cell = Vec<Shaped>;

/// All cells of a table.
pub struct Cells {
    head: Vec<Cell>,
    rows: Vec<Vec<Cell>>,
}

impl Cells {
    pub fn new(fonts: &Fonts, table: &Table) -> Cells {
        let cell = |text: &str, strong: bool| {
            let style = if strong { Style::Strong } else { Style::Plain };
            let lines = plain_lines(text).into_iter();
            lines
                .map(|text| Shaped::new(fonts, &[Run { text, style }]))
                .collect()
        };
        let head = table.all_columns();
        let head = head.iter().map(|column| cell(&one_line(&column.heading), true));
        let rows = table.rows.iter().map(|row| {
            let cells = table.cells(row).enumerate();
            let cells = cells.map(|(place, text)| cell(text, place == 0 && table.row_headings));
            cells.collect()
        });
        Cells {
            head: head.collect(),
            rows: rows.collect(),
        }
    }

    /// Of each column the width of its widest word and of its widest line, with the gutter.
    pub fn wishes(&self) -> Vec<(f32, f32)> {
        let columns = (0..self.head.len()).map(|place| {
            let cells = self.rows.iter().map(|row| &row[place]).chain([&self.head[place]]);
            let widths = cells.flatten().map(Shaped::widths);
            let (least, most) = widths.fold((1.0_f32, 1.0_f32), |(least, most), (word, line)| {
                (least.max(word), most.max(line))
            });
            [least, most].map(|ems| ems * CELL.size + GUTTER + ROUNDING)
        });
        columns.map(|[least, most]| (least, most)).collect()
    }

    /// The headings and the rows, in columns of such widths.
    pub fn broken(&self, widths: &[f32]) -> (Row, Vec<Row>) {
        let row = |row: &Vec<Cell>| {
            let cells = row.iter().zip(widths).map(|(cell, width)| {
                let room = (width - GUTTER) / CELL.size;
                cell.iter().flat_map(|line| line.lines(room)).collect()
            });
            Row(cells.collect())
        };
        (row(&self.head), self.rows.iter().map(row).collect())
    }
}
