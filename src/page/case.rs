//! A client's case: the latest examination, left beside right, each movement over time, and the visits.

use std::collections::BTreeMap;
use std::sync::Arc;

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;

use super::answer::{Answer, page};
use super::desk::Desk;
use super::draw::{Of, Progress, bars, body, lines, usual};
use super::form::in_address;
use crate::finding::{Kind, Side, word_of};
use crate::grammar::Grammar;
use crate::record::{Case, Client, Kept, Visit};
use crate::review::day;
use crate::review::rows::{Cell, HEADS, cell, examined, groups, notes};

#[derive(Template)]
#[template(path = "case.html")]
struct Page {
    code: String,
    address: String,
    name: Option<String>,
    about: Vec<(&'static str, String)>,
    cautions: Option<String>,
    /// The latest visit in which something was found.
    latest: Option<(i64, String)>,
    /// Where something was found in it.
    body: Option<String>,
    /// The only part that is shown.
    only: Option<String>,
    joints: Vec<Joint>,
    notes: Vec<String>,
    progress: Vec<Course>,
    visits: Vec<Line>,
    /// A visit that can still be written to.
    open: Option<i64>,
}

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

/// A movement at one visit after another.
struct Course {
    title: String,
    picture: String,
    /// Each visit: its date, left, right, no side.
    table: Vec<(String, [String; 3])>,
    no_side: bool,
    usual: Option<String>,
}

struct Line {
    number: i64,
    date: String,
    findings: usize,
    to_review: usize,
    signed: bool,
    amended: bool,
}

/// The only part of the body that is to be shown.
#[derive(Deserialize)]
pub struct Only {
    #[serde(default)]
    part: String,
    #[serde(default)]
    side: String,
}

/// Shows it.
pub async fn show(
    State(desk): State<Arc<Desk>>,
    Path(code): Path<String>,
    Query(only): Query<Only>,
) -> Answer {
    let (client, case) = desk
        .with(move |record, _| Ok((record.client(&code)?, record.case(&code)?)))
        .await?;
    page(&of(
        &desk.grammar,
        client,
        case,
        Of::named(&only.part, &only.side),
    ))
}

fn of(grammar: &Grammar, client: Client, mut case: Case, only: Option<Of>) -> Page {
    let address = in_address(&client.code);
    let visits: Vec<Line> = case.visits.iter().rev().map(line).collect();
    let latest = case.visits.iter().rposition(|visit| !visit.findings.is_empty());
    let found = latest.into_iter().flat_map(|at| &case.visits[at].findings);
    let body = body(
        grammar,
        &format!("/client/{address}"),
        found.map(|kept| &kept.finding),
    );
    if let Some(only) = only {
        for visit in &mut case.visits {
            visit.findings.retain(|kept| only.holds(grammar, &kept.finding));
        }
    }
    let latest = latest.map(|at| &case.visits[at]);
    let details = client.details;
    let about = [
        ("Born", details.born.map(|year| year.to_string())),
        ("Sex", details.sex.map(word_of)),
        ("Presenting complaint", details.complaint),
        ("Goals", details.goals),
        ("Referred by", details.referrer),
        ("Consent", details.consent),
    ];
    let empty: &[Kept] = &[];
    let findings = latest.map_or(empty, |visit| &visit.findings);
    Page {
        address,
        body,
        only: only.map(Of::in_words),
        code: client.code,
        name: details.name,
        about: about
            .into_iter()
            .filter_map(|(name, text)| Some((name, text?)))
            .collect(),
        cautions: details.cautions,
        latest: latest.map(|visit| (visit.number, day(&visit.date))),
        joints: joints(grammar, findings),
        notes: notes(findings)
            .filter_map(|kept| kept.finding.text.clone())
            .collect(),
        progress: progress(grammar, &case.visits),
        visits,
        open: case
            .visits
            .iter()
            .rev()
            .find(|visit| visit.signed.is_none())
            .map(|visit| visit.number),
    }
}

fn line(visit: &Visit) -> Line {
    Line {
        number: visit.number,
        date: day(&visit.date),
        findings: visit.findings.len(),
        to_review: visit.to_review.len(),
        signed: visit.signed.is_some(),
        amended: visit.amended.is_some(),
    }
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
                        (crate::review::rows::SIDES[*side], heads)
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

/// What was measured at more than one visit.
fn progress(grammar: &Grammar, visits: &[Visit]) -> Vec<Course> {
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
                    usual: usual(grammar, finding),
                }
            });
            if course.visits.last().is_none_or(|(date, _)| *date != visit.date) {
                course.visits.push((visit.date.clone(), [None; 3]));
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
                .map(|(date, sides)| (day(date), [0, 1, 2].map(|side| shown(&sides[side]))))
                .collect(),
            no_side: course.visits.iter().any(|(_, sides)| sides[2].is_some()),
            usual: course.usual.map(|usual| {
                format!(
                    "Usual range {}° to {}°: {} ({}).",
                    usual.from, usual.to, usual.source, usual.status
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
