//! Findings joint by joint: a table, left beside right, and a picture.

use crate::grammar::Grammar;
use crate::record::Kept;
use crate::review::draw::bars;
use crate::review::rows::{Cell, HEADS, SIDES, cell, groups};

/// One joint of one visit.
pub struct Joint {
    pub heading: String,
    /// The columns under left, right and no side, that hold something.
    pub sides: Vec<(&'static str, Vec<&'static str>)>,
    pub rows: Vec<Row>,
    pub picture: Option<String>,
    pub sources: Vec<Source>,
}

/// Where a usual range is from.
pub struct Source {
    pub name: String,
    pub range: String,
    pub source: String,
    pub status: String,
}

pub struct Row {
    pub name: String,
    pub mode: String,
    /// Under the columns of [`Joint::sides`]; the number of the finding that the first of a side is of.
    pub cells: Vec<(Option<i64>, String)>,
}

/// The table and the picture of each joint.
pub fn joints(grammar: &Grammar, findings: &[Kept]) -> Vec<Joint> {
    groups(findings)
        .into_iter()
        .map(|group| {
            let cells: Vec<[Option<(i64, Cell)>; 3]> = group
                .rows
                .iter()
                .map(|row| {
                    row.sides
                        .map(|kept| kept.map(|kept| (kept.id, cell(&kept.finding))))
                })
                .collect();
            let holds = |side: usize, head: usize| {
                let in_row = |row: &[Option<(i64, Cell)>; 3]| match &row[side] {
                    Some((_, cell)) => head == 0 || !cell[head].is_empty(),
                    None => false,
                };
                cells.iter().any(in_row)
            };
            let shown: Vec<(usize, Vec<usize>)> = (0..3)
                .map(|side| (side, (0..HEADS.len()).filter(|head| holds(side, *head)).collect()))
                .filter(|(_, heads): &(usize, Vec<usize>)| !heads.is_empty())
                .collect();
            let rows = group.rows.iter().zip(&cells).map(|(row, cells)| Row {
                name: row.name.clone(),
                mode: row.mode.clone(),
                cells: shown
                    .iter()
                    .flat_map(|(side, heads)| heads.iter().map(move |head| (*side, *head)))
                    .map(|(side, head)| match &cells[side] {
                        Some((id, cell)) => ((head == 0).then_some(*id), cell[head].clone()),
                        None => (None, String::new()),
                    })
                    .collect(),
            });
            let drawn = bars(grammar, &group.heading, &group.rows);
            let (picture, sources) =
                drawn.map_or((None, Vec::new()), |(picture, sources)| (Some(picture), sources));
            Joint {
                rows: rows.collect(),
                sides: shown
                    .iter()
                    .map(|(side, heads)| {
                        let heads = heads.iter().map(|head| HEADS[*head]).collect();
                        (SIDES[*side], heads)
                    })
                    .collect(),
                heading: group.heading,
                picture,
                sources: sources
                    .into_iter()
                    .map(|(name, usual)| Source {
                        name,
                        range: format!("{}° to {}°", usual.from, usual.to),
                        source: usual.source.clone(),
                        status: usual.status.clone(),
                    })
                    .collect(),
            }
        })
        .collect()
}
