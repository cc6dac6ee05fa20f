//! A client's case drawn for reading: visit by visit, joint by joint, left beside right.

use super::fields::{fields, plain};
use super::history::when;
use super::rows::{HEADS, Row, SIDES, cell, groups, notes};
use crate::record::{Case, ToReview, Visit, VisitDetails};

/// The case as plain text.
pub fn case_table(case: &Case) -> String {
    let mut text = format!("Client {}\n", case.client);
    let is_empty = |visit: &Visit| {
        visit.findings.is_empty() && visit.to_review.is_empty() && visit.details == VisitDetails::default()
    };
    if case.visits.iter().all(is_empty) {
        text += "\nNothing has been recorded for this client yet.\n";
        return text;
    }
    for visit in &case.visits {
        text += &visit_text(visit);
    }
    text
}

/// One visit as plain text.
pub fn visit_text(visit: &Visit) -> String {
    let count = match visit.findings.len() {
        0 => "nothing was recorded".to_owned(),
        1 => "one finding".to_owned(),
        more => format!("{more} findings"),
    };
    let mut signed = visit
        .signed
        .as_ref()
        .map_or(String::new(), |_| ", signed off".to_owned());
    if let Some(amended) = &visit.amended {
        signed += &format!(", amended {}", when(amended));
    }
    let mut text = format!("\nVisit of {}{signed}: {count}\n", day(&visit.date));
    for group in groups(&visit.findings) {
        text += &format!("\n{}\n{}", group.heading, table(&group.rows));
    }
    let notes: String = notes(&visit.findings)
        .map(|note| format!("  {}\n", plain(note.finding.text.as_deref().unwrap_or_default())))
        .collect();
    if !notes.is_empty() {
        text += &format!("\nNotes\n{notes}");
    }
    text += &details_text(&visit.details);
    if !visit.to_review.is_empty() {
        text += &format!("\nStill to be looked at\n{}", to_review(&visit.to_review));
    }
    text
}

/// What was written about the visit.
fn details_text(details: &VisitDetails) -> String {
    let written = [
        ("History", &details.history),
        ("Assessment", &details.assessment),
        ("Treatment", &details.treatment),
        ("Advice", &details.advice),
        ("Plan", &details.plan),
        ("To be tested again", &details.retest),
    ];
    let written = written
        .into_iter()
        .filter_map(|(name, text)| Some((name, text.as_deref()?)));
    written
        .map(|(name, text)| format!("\n{name}\n  {}\n", plain(text)))
        .collect()
}

/// What was put aside or not understood: the words, and why.
fn to_review(aside: &[ToReview]) -> String {
    let mut text = String::new();
    for one in aside {
        let why = match (&one.finding, &one.why) {
            (Some(finding), _) => format!("understood so far: {}", fields(finding)),
            (None, Some(why)) => plain(why),
            (None, None) => String::new(),
        };
        let clip = one
            .clip
            .map(|clip| format!("; sound clip {clip}"))
            .unwrap_or_default();
        text += &format!("  “{}” ({why}{clip})\n", plain(&one.heard));
    }
    text
}

/// Draws the rows under two lines of headings; a column that holds nothing is left out.
fn table(rows: &[Row]) -> String {
    let shown = |side: usize, head: usize| rows.iter().any(|row| !text_of(row, side, head).is_empty());
    let mut grid = vec![vec![String::new(), String::new()]; 2];
    grid.extend(rows.iter().map(|row| vec![row.name.clone(), row.mode.clone()]));
    for side in (0..SIDES.len()).filter(|side| rows.iter().any(|row| row.sides[*side].is_some())) {
        // A side on which something was examined always has its first column.
        for (place, head) in (0..HEADS.len())
            .filter(|head| *head == 0 || shown(side, *head))
            .enumerate()
        {
            grid[0].push(if place == 0 {
                SIDES[side].to_owned()
            } else {
                String::new()
            });
            grid[1].push(HEADS[head].to_owned());
            for (line, row) in grid[2..].iter_mut().zip(rows) {
                line.push(text_of(row, side, head));
            }
        }
    }
    aligned(&grid)
}

fn text_of(row: &Row, side: usize, head: usize) -> String {
    row.sides[side]
        .map(|kept| cell(&kept.finding)[head].clone())
        .unwrap_or_default()
}

fn aligned(grid: &[Vec<String>]) -> String {
    let width = |column: usize| {
        grid.iter()
            .map(|line| line[column].chars().count())
            .max()
            .unwrap_or(0)
    };
    let widths: Vec<usize> = (0..grid[0].len()).map(width).collect();
    let mut text = String::new();
    for line in grid {
        let cells = line.iter().zip(&widths).filter(|(_, width)| **width > 0);
        let drawn: String = cells.map(|(cell, width)| format!("  {cell:<width$}")).collect();
        text += drawn.trim_end();
        text.push('\n');
    }
    text
}

/// A date, ISO 8601, for reading.
pub fn day(date: &str) -> String {
    date.parse::<jiff::civil::Date>()
        .map_or_else(|_| date.to_owned(), |date| date.strftime("%-d %B %Y").to_string())
}
