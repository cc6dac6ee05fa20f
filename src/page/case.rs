//! A client's case: the latest examination, left beside right, each movement over time, and the visits.

use std::sync::Arc;

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;

use super::answer::{Answer, page};
use super::desk::Desk;
use super::form::in_address;
use super::joints::{Joint, joints};
use crate::finding::word_of;
use crate::grammar::Grammar;
use crate::record::{Case, Client, Kept, Visit};
use crate::review::day;
use crate::review::draw::{Of, body};
use crate::review::progress::{Course, progress};
use crate::review::rows::notes;

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
        |part, side| {
            format!(
                "/client/{address}?part={}&side={}#latest",
                in_address(part),
                in_address(side)
            )
        },
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
