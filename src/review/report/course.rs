//! Each movement over the visits, drawn and as a table.

use super::Report;
use super::pictures::figure;
use crate::review::document::{Block, Column, Level, Table};
use crate::review::progress::progress;

/// Up to the visit that is reported.
pub fn course(report: &Report<'_>) -> Vec<Block> {
    let until = report
        .case
        .visits
        .iter()
        .position(|visit| visit.number == report.visit.number)
        .map_or(&[][..], |at| &report.case.visits[..=at]);
    let mut blocks = Vec::new();
    for course in progress(report.grammar, until) {
        let rows: Vec<Vec<String>> = course
            .table
            .into_iter()
            .map(|(_, date, [left, right, no_side])| match course.no_side {
                true => vec![date, left, right, no_side],
                false => vec![date, left, right],
            })
            .collect();
        blocks.push(Block::Heading(Level::Three, course.title.clone()));
        let caption = [course.usual, course.error]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>();
        blocks.extend(figure(
            Some(course.picture),
            format!("{}; the table below holds the same.", course.title),
            &caption.join(" "),
        ));
        let mut columns = vec![
            Column::new("visit"),
            Column::of_numbers("left"),
            Column::of_numbers("right"),
        ];
        if course.no_side {
            columns.push(Column::of_numbers("no side"));
        }
        blocks.push(Block::Table(Table {
            caption: String::new(),
            columns,
            row_headings: true,
            rows,
        }));
    }
    blocks
}
