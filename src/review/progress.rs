//! Each movement over the visits: a picture, and the same as a table.

use std::collections::BTreeMap;

use super::draw::{Progress, lines, usual};
use crate::finding::{Kind, Side, word_of};
use crate::grammar::Grammar;
use crate::record::{Kept, Visit};
use crate::review::day;
use crate::review::rows::examined;

/// A movement at one visit after another.
pub struct Course {
    pub title: String,
    pub picture: String,
    /// Each visit: its number, its date; left, right, no side.
    pub table: Vec<(i64, String, [String; 3])>,
    pub no_side: bool,
    pub usual: Option<String>,
    pub error: Option<String>,
}

/// What was measured at more than one visit.
pub fn progress(grammar: &Grammar, visits: &[Visit]) -> Vec<Course> {
    // In the order in which they were first examined.
    let mut order: Vec<String> = Vec::new();
    let mut courses: BTreeMap<String, Progress> = BTreeMap::new();
    for visit in visits {
        for Kept { finding, .. } in &visit.findings {
            let (Kind::Movement, Some(degrees), Some(joint)) =
                (finding.kind, &finding.degrees, &finding.joint)
            else {
                continue;
            };
            let mode = finding.mode.map(word_of).unwrap_or_default();
            let title = format!("{joint} {} {mode}", examined(finding)).trim().to_owned();
            let course = courses.entry(title.clone()).or_insert_with(|| {
                order.push(title.clone());
                Progress {
                    title,
                    visits: Vec::new(),
                    numbers: Vec::new(),
                    usual: usual(grammar, finding),
                    error: grammar.facts.error_of(finding),
                }
            });
            if course.visits.last().is_none_or(|(date, _)| *date != visit.date) {
                course.visits.push((visit.date.clone(), [None; 3]));
                course.numbers.push(visit.number);
            }
            let sides: &[usize] = match finding.side {
                Some(Side::Left) => &[0],
                Some(Side::Right) => &[1],
                Some(Side::Both) => &[0, 1],
                None => &[2],
            };
            if let Some((_, values)) = course.visits.last_mut() {
                // What was measured last that day is what the visit ended with.
                for side in sides {
                    values[*side] = Some(degrees.to);
                }
            }
        }
    }
    let drawn = order.iter().filter_map(|title| {
        let course = courses.get(title)?;
        let picture = lines(course)?;
        let shown = |degrees: &Option<i32>| degrees.map_or(String::new(), |degrees| format!("{degrees}°"));
        Some(Course {
            picture,
            table: course
                .visits
                .iter()
                .zip(&course.numbers)
                .map(|((date, sides), number)| {
                    (*number, day(date), [0, 1, 2].map(|side| shown(&sides[side])))
                })
                .collect(),
            no_side: course.visits.iter().any(|(_, sides)| sides[2].is_some()),
            usual: course.usual.map(|usual| {
                format!(
                    "Usual range {}° to {}°: {} ({}).",
                    usual.from, usual.to, usual.source, usual.status
                )
            }),
            error: course.error.map(|error| {
                format!(
                    "The strokes above and below a point: 95 of 100 measurements lie within {:.0}° ({}, {}; {}). \
                     A change is larger than the measurement error from {:.0}° on. {} ({}).",
                    1.96 * error.sem(),
                    error.by,
                    error.tool,
                    error.population,
                    error.mdc95().ceil(),
                    error.source,
                    error.status
                )
            }),
            title: {
                let mut title = title.clone();
                title[..1].make_ascii_uppercase();
                title
            },
        })
    });
    drawn.collect()
}
