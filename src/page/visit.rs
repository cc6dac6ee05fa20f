//! A visit, to be looked through: what was found, what waits, what was not understood, what was written; and its sign-off.

use std::collections::HashMap;
use std::sync::Arc;

use askama::Template;
use axum::Form;
use axum::extract::{Path, State};
use serde::Deserialize;

use super::answer::{Answer, Refusal, go_to, page};
use super::desk::{Change, Desk};
use super::form::{in_address, typed};
use super::heard::{Stretch, heard};
use super::joints::{Joint, joints};
use crate::finding::Finding;
use crate::grammar::Grammar;
use crate::grammar::facts::Caution;
use crate::readback::{question, written};
use crate::record::{ClientDetails, Kept, ToReview, Visit, VisitDetails};
use crate::review::{day, fields, when};

#[derive(Template)]
#[template(path = "visit.html")]
struct Page {
    code: String,
    address: String,
    number: i64,
    date: String,
    signed: Option<String>,
    amended: Option<String>,
    findings: Vec<Item>,
    waiting: Vec<Waits>,
    to_review: Vec<Aside>,
    heard: Vec<Stretch>,
    joints: Vec<Joint>,
    texts: [(&'static str, &'static str, String); 6],
    /// What was changed last, which can be undone.
    undo: Option<String>,
}

struct Item {
    id: i64,
    sentence: String,
    heard: String,
    at: String,
    amended: bool,
    clip: Option<i64>,
    cautions: Vec<Caution>,
}

/// What was dictated and not confirmed.
struct Waits {
    id: i64,
    sentence: String,
    heard: String,
    complete: bool,
    doubt: Option<InDoubt>,
}

/// What must still be said, and what can be chosen.
struct InDoubt {
    question: String,
    choices: Vec<String>,
}

struct Aside {
    /// What waits, if it is that.
    proposal: Option<i64>,
    doubt: Option<InDoubt>,
    heard: String,
    why: String,
    at: String,
    clip: Option<i64>,
}

/// Shows it.
pub async fn show(State(desk): State<Arc<Desk>>, Path((code, number)): Path<(String, i64)>) -> Answer {
    let shown = code.clone();
    let (client, visit, waiting, clips, utterances, last) = desk
        .with(move |record, last| {
            let id = record.visit_of(&shown, Some(number))?;
            let visit = of(record.case(&shown)?.visits, number)?;
            let clips = record.sounds(&shown)?;
            let utterances = record.utterances(id)?;
            let client = record.client(&shown)?;
            let waiting = record.pending(id)?;
            Ok((client, visit, waiting, clips, utterances, last.clone()))
        })
        .await?;
    let grammar = &desk.grammar;
    let clips: HashMap<i64, i64> = clips
        .into_iter()
        .filter_map(|clip| Some((clip.finding?, clip.id)))
        .collect();
    let joints = joints(grammar, &visit.findings);
    page(&Page {
        address: in_address(&code),
        code,
        number,
        date: day(&visit.date),
        signed: visit.signed.as_deref().map(when),
        amended: visit.amended.as_deref().map(when),
        waiting: waiting
            .into_iter()
            .map(|proposal| Waits {
                id: proposal.id,
                sentence: written(grammar, &proposal.finding),
                complete: proposal.finding.is_settled(),
                doubt: in_doubt(grammar, &proposal.finding),
                heard: proposal.heard,
            })
            .collect(),
        texts: texts(&visit.details),
        undo: last.map(|change| in_words(grammar, &change)),
        heard: heard(grammar, utterances, &visit.findings),
        to_review: visit
            .to_review
            .into_iter()
            .map(|one| aside(grammar, one))
            .collect(),
        findings: visit
            .findings
            .into_iter()
            .map(|kept| item(grammar, &client.details, &clips, kept))
            .collect(),
        joints,
    })
}

fn item(grammar: &Grammar, client: &ClientDetails, clips: &HashMap<i64, i64>, kept: Kept) -> Item {
    let year = jiff::ZonedDateTime::now().year();
    let cautions = grammar.facts.cautions_of(&kept.finding, client, year);
    Item {
        cautions: cautions.into_iter().cloned().collect(),
        id: kept.id,
        sentence: written(grammar, &kept.finding),
        at: time(&kept.at),
        amended: kept.amended.is_some(),
        clip: clips.get(&kept.id).copied(),
        heard: kept.heard,
    }
}

fn aside(grammar: &Grammar, one: ToReview) -> Aside {
    Aside {
        doubt: one
            .finding
            .as_ref()
            .and_then(|finding| in_doubt(grammar, finding)),
        why: match (&one.finding, one.why) {
            (Some(finding), _) => format!("understood so far: {}", fields(finding)),
            (None, why) => why.unwrap_or_default(),
        },
        at: time(&one.at),
        heard: one.heard,
        clip: one.clip,
        proposal: one.proposal,
    }
}

fn in_doubt(grammar: &Grammar, finding: &Finding) -> Option<InDoubt> {
    let question = question(grammar, finding)?;
    let choices = match (finding.missing.is_empty(), finding.doubts.first()) {
        (true, Some(doubt)) => std::iter::once(&doubt.said).chain(&doubt.or).cloned().collect(),
        _ => Vec::new(),
    };
    Some(InDoubt { question, choices })
}

/// The time of day of a moment.
pub fn time(at: &str) -> String {
    when(at)
        .rsplit_once(' ')
        .map_or(String::new(), |(_, time)| time.to_owned())
}

fn in_words(grammar: &Grammar, change: &Change) -> String {
    let was = |finding: &Finding| written(grammar, finding);
    match change {
        Change::Changed { id, before, .. } => format!("Finding {id} was changed. Before: {}", was(before)),
        Change::TakenBack { before, .. } => format!("Taken back: {}", was(before)),
        Change::Added { id } => format!("Finding {id} was added."),
    }
}

fn texts(details: &VisitDetails) -> [(&'static str, &'static str, String); 6] {
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    [
        ("history", "What the client tells", text(&details.history)),
        (
            "assessment",
            "Assessment, in your own words",
            text(&details.assessment),
        ),
        ("treatment", "Treatment given", text(&details.treatment)),
        ("advice", "Advice", text(&details.advice)),
        ("plan", "Plan", text(&details.plan)),
        ("retest", "To be tested again", text(&details.retest)),
    ]
}

/// Begins a visit today, or goes on with today's.
pub async fn open(State(desk): State<Arc<Desk>>, Path(code): Path<String>) -> Answer {
    let address = in_address(&code);
    let visit = desk.with(move |record, _| Ok(record.visit_for(&code)?)).await?;
    Ok(go_to(&format!("/client/{address}/visit/{}", visit.number())))
}

#[derive(Deserialize)]
pub struct Texts {
    history: String,
    #[serde(default)]
    assessment: String,
    treatment: String,
    advice: String,
    plan: String,
    retest: String,
}

/// Writes about it.
pub async fn describe(
    State(desk): State<Arc<Desk>>,
    Path((code, number)): Path<(String, i64)>,
    Form(form): Form<Texts>,
) -> Answer {
    let details = VisitDetails {
        history: typed(&form.history),
        assessment: typed(&form.assessment),
        treatment: typed(&form.treatment),
        advice: typed(&form.advice),
        plan: typed(&form.plan),
        retest: typed(&form.retest),
    };
    let place = place(&code, number);
    desk.with(move |record, _| {
        let visit = record.visit_of(&code, Some(number))?;
        Ok(record.describe_visit(visit, details)?)
    })
    .await?;
    Ok(go_to(&place))
}

#[derive(Deserialize)]
pub struct Sign {
    /// What was dictated and not confirmed is left out.
    #[serde(default)]
    drop_waiting: Option<String>,
}

/// Signs it off.
pub async fn sign(
    State(desk): State<Arc<Desk>>,
    Path((code, number)): Path<(String, i64)>,
    Form(form): Form<Sign>,
) -> Answer {
    let place = place(&code, number);
    desk.with(move |record, last| {
        let visit = record.visit_of(&code, Some(number))?;
        record.sign_visit(visit, form.drop_waiting.is_some())?;
        *last = None;
        Ok(())
    })
    .await?;
    Ok(go_to(&place))
}

/// Where a visit is shown.
pub fn place(code: &str, number: i64) -> String {
    format!("/client/{}/visit/{number}", in_address(code))
}

/// The visit of a client by its number, as it stands.
pub fn of(visits: Vec<Visit>, number: i64) -> Result<Visit, Refusal> {
    visits
        .into_iter()
        .find(|visit| visit.number == number)
        .ok_or(Refusal::NotThere)
}
