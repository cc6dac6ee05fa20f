//! The findings of a visit as tables, left beside right.

use super::Report;
use crate::review::document::{Block, Column, Level, Table};
use crate::review::rows::{SIDES, cell, groups};

/// A table for each joint; a cell that was amended after the sign-off says so.
pub fn findings(report: &Report<'_>) -> Vec<Block> {
    let mut blocks = Vec::new();
    for group in groups(&report.visit.findings) {
        let used: Vec<usize> = (0..SIDES.len())
            .filter(|side| group.rows.iter().any(|row| row.sides[*side].is_some()))
            .collect();
        let mut columns = vec![Column::new("examined"), Column::new("mode")];
        columns.extend(used.iter().map(|side| Column::new(SIDES[*side])));
        let rows = group.rows.iter().map(|row| {
            let mut cells = vec![row.name.clone(), row.mode.clone()];
            cells.extend(used.iter().map(|side| {
                row.sides[*side].map_or(String::new(), |kept| {
                    let [value, end_feel, pain, signs] = cell(&kept.finding);
                    let parts = [
                        value,
                        labelled("end feel", &end_feel),
                        labelled("pain", &pain),
                        signs,
                        String::from(if kept.amended.is_some() { "(amended)" } else { "" }),
                    ];
                    let parts: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();
                    parts.join("; ")
                })
            }));
            cells
        });
        blocks.push(Block::Heading(Level::Three, group.heading.clone()));
        blocks.push(Block::Table(Table {
            caption: String::new(),
            columns,
            row_headings: true,
            rows: rows.collect(),
        }));
    }
    blocks
}

fn labelled(label: &str, value: &str) -> String {
    match value.is_empty() {
        true => String::new(),
        false => format!("{label}: {value}"),
    }
}
