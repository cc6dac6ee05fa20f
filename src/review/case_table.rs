//! A client's case drawn for reading: visit by visit, joint by joint, left beside right.

use super::fields::{degrees, fields, pain, plain};
use super::history::when;
use crate::finding::{Finding, Kind, Side, word_of};
use crate::record::{Case, ToReview, Visit, VisitDetails};

/// The columns under each side.
const HEADS: [&str; 4] = ["value", "end feel", "pain", "signs"];
/// What one side of a row holds, under [`HEADS`].
type Cell = [String; HEADS.len()];

/// One line of a table: what was examined, and what was found on each side.
struct Row {
    name: String,
    mode: String,
    /// Left, right, and where no side was said.
    sides: [Option<Cell>; 3],
}

const SIDES: [&str; 3] = ["left", "right", "no side"];

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
    let mut groups: Vec<(String, Vec<Row>)> = Vec::new();
    let mut notes = String::new();
    for finding in visit.findings.iter().map(|kept| &kept.finding) {
        if finding.kind == Kind::Note {
            notes += &format!("  {}\n", plain(finding.text.as_deref().unwrap_or_default()));
            continue;
        }
        let heading = finding.joint.clone().unwrap_or_else(|| word_of(finding.kind));
        let position = groups
            .iter()
            .position(|(name, _)| *name == heading)
            .unwrap_or_else(|| {
                groups.push((heading, Vec::new()));
                groups.len() - 1
            });
        place(finding, &mut groups[position].1);
    }
    for (heading, rows) in &groups {
        text += &format!("\n{}\n{}", capital(&plain(heading)), table(rows));
    }
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

/// Puts a finding into the first row of its name and mode whose side is free: what was measured twice stands
/// in two rows.
fn place(finding: &Finding, rows: &mut Vec<Row>) {
    let name = [
        &finding.movement,
        &finding.muscle,
        &finding.test,
        &finding.structure,
        &finding.level,
    ]
    .into_iter()
    .flatten()
    .next()
    .map_or_else(|| word_of(finding.kind), |name| plain(name));
    let mode = finding.mode.as_ref().map(word_of).unwrap_or_default();
    let sides: &[usize] = match finding.side {
        Some(Side::Left) => &[0],
        Some(Side::Right) => &[1],
        Some(Side::Both) => &[0, 1],
        None => &[2],
    };
    let free =
        |row: &Row| row.name == name && row.mode == mode && sides.iter().all(|s| row.sides[*s].is_none());
    let position = rows.iter().position(free).unwrap_or_else(|| {
        // Beside its like, not at the end.
        let after = rows.iter().rposition(|row| row.name == name && row.mode == mode);
        let position = after.map_or(rows.len(), |last| last + 1);
        rows.insert(
            position,
            Row {
                name: name.clone(),
                mode: mode.clone(),
                sides: [const { None }; 3],
            },
        );
        position
    });
    for side in sides {
        rows[position].sides[*side] = Some(cell(finding));
    }
}

fn cell(finding: &Finding) -> Cell {
    let mut value = Vec::new();
    value.extend(finding.degrees.as_ref().map(degrees));
    value.extend(finding.range.as_deref().map(plain));
    value.extend(
        finding
            .strength
            .as_deref()
            .map(|grade| format!("strength {}", plain(grade))),
    );
    value.extend(finding.power.as_deref().map(plain));
    value.extend(finding.result.as_deref().map(plain));
    value.extend(finding.laxity.map(|grade| format!("laxity {grade}")));
    value.extend(finding.girth_cm.map(|girth| format!("{girth} cm")));
    [
        value.join(", "),
        finding.end_feel.as_deref().map(plain).unwrap_or_default(),
        finding.pain.as_ref().map(pain).unwrap_or_default(),
        plain(&finding.signs.join(", ")),
    ]
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
        .as_ref()
        .map(|cell| cell[head].clone())
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

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A date, ISO 8601, for reading.
pub fn day(date: &str) -> String {
    date.parse::<jiff::civil::Date>()
        .map_or_else(|_| date.to_owned(), |date| date.strftime("%-d %B %Y").to_string())
}
