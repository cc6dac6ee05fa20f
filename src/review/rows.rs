//! A visit's findings as rows, joint by joint: what was examined, left beside right.

use super::fields::{degrees, pain, plain};
use crate::finding::{Finding, Kind, Side, word_of};
use crate::record::Kept;

/// The columns under each side.
pub const HEADS: [&str; 4] = ["value", "end feel", "pain", "signs"];
/// What one side of a row holds, under [`HEADS`].
pub type Cell = [String; HEADS.len()];
/// What the sides of a row are.
pub const SIDES: [&str; 3] = ["left", "right", "no side"];

/// The rows of one joint; without a joint, of one kind.
pub struct Group<'a> {
    /// The joint as the vocabulary names it.
    pub joint: Option<&'a str>,
    pub heading: String,
    pub rows: Vec<Row<'a>>,
}

/// What was examined, and what was found on each of [`SIDES`].
pub struct Row<'a> {
    pub name: String,
    pub mode: String,
    pub sides: [Option<&'a Kept>; 3],
}

/// All but the notes, in the order in which they were recorded.
pub fn groups(findings: &[Kept]) -> Vec<Group<'_>> {
    let mut groups: Vec<Group> = Vec::new();
    for kept in findings.iter().filter(|kept| kept.finding.kind != Kind::Note) {
        let joint = kept.finding.joint.as_deref();
        let heading = capital(&plain(
            &joint.map_or_else(|| word_of(kept.finding.kind), str::to_owned),
        ));
        let position = groups
            .iter()
            .position(|group| group.heading == heading)
            .unwrap_or_else(|| {
                groups.push(Group {
                    joint,
                    heading,
                    rows: Vec::new(),
                });
                groups.len() - 1
            });
        place(kept, &mut groups[position].rows);
    }
    groups
}

/// The notes alone.
pub fn notes(findings: &[Kept]) -> impl Iterator<Item = &Kept> {
    findings.iter().filter(|kept| kept.finding.kind == Kind::Note)
}

/// What was examined.
pub fn examined(finding: &Finding) -> String {
    [
        &finding.movement,
        &finding.muscle,
        &finding.test,
        &finding.structure,
        &finding.level,
    ]
    .into_iter()
    .flatten()
    .next()
    .map_or_else(|| word_of(finding.kind), |name| plain(name))
}

/// Puts a finding into the first row of its name and mode whose side is free: what was measured twice stands
/// in two rows.
fn place<'a>(kept: &'a Kept, rows: &mut Vec<Row<'a>>) {
    let finding = &kept.finding;
    let name = examined(finding);
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
                sides: [None; 3],
            },
        );
        position
    });
    for side in sides {
        rows[position].sides[*side] = Some(kept);
    }
}

/// What was found, under [`HEADS`].
pub fn cell(finding: &Finding) -> Cell {
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

/// With a capital letter.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
