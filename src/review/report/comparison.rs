//! Left against right, and now against before, as a table.

use super::Report;
use super::parts::list;
use crate::review::compare::{Measured, compare, facts, lines, title};
use crate::review::document::{Block, Column, Run, Table};

/// What was measured at the visit, and what is known of it, each with its source.
pub fn comparison(report: &Report<'_>) -> Vec<Block> {
    let compared = compare(
        report.grammar,
        &report.client.details,
        report.case,
        Some(report.visit.number),
    );
    let mut rows = Vec::new();
    let mut known: Vec<Vec<Run>> = Vec::new();
    for one in &compared {
        let of_side = |side: Option<&Measured>| {
            let error = one.measurement_error.as_ref();
            side.map_or(String::new(), |side| lines(side, error).join("\n"))
        };
        let joint = one.joint.iter().map(|joint| format!("{joint} "));
        let name = joint.collect::<String>() + &title(one);
        let right = one.right.as_ref().or(one.no_side.as_ref());
        known.extend(
            facts(one)
                .into_iter()
                .map(|(what, source)| vec![Run::plain(format!("{name}: {what}. {source}"))]),
        );
        rows.push(vec![name, of_side(one.left.as_ref()), of_side(right)]);
    }
    if rows.is_empty() {
        return Vec::new();
    }
    let columns = ["examined", "left", "right, or no side"];
    let mut blocks = vec![Block::Table(Table {
        caption: String::new(),
        columns: columns.into_iter().map(Column::new).collect(),
        row_headings: true,
        rows,
    })];
    if !known.is_empty() {
        blocks.push(Block::paragraph(
            "Sources differ from each other, active is not passive, and none of these values is a limit of what is normal.",
        ));
        blocks.extend(list(known));
    }
    blocks
}
