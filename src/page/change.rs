//! One finding, changed by typing or choosing, taken back, or added.

use std::sync::Arc;

use askama::Template;
use axum::Form;
use axum::extract::{Path, State};
use serde::Deserialize;

use super::answer::{Answer, Refusal, go_to, page};
use super::desk::{Change, Desk};
use super::form::{in_address, typed};
use super::read::{corrected, written_for};
use super::visit::place;
use crate::readback::written;
use crate::review::{amendment, day};

#[derive(Template)]
#[template(path = "finding.html")]
struct Page {
    id: i64,
    client: String,
    address: String,
    visit: i64,
    date: String,
    signed: bool,
    sentence: String,
    choices: Vec<String>,
    heard: String,
    clip: Option<i64>,
    /// What the model wrote is known: a correction can be learnt from.
    teaches: bool,
}

/// Shows it, to be changed.
pub async fn show(State(desk): State<Arc<Desk>>, Path(id): Path<i64>) -> Answer {
    let (client, kept, visit, clips, teaches) = desk
        .with(move |record, _| {
            let (client, kept) = record.finding(id)?;
            let number = record.visit_of_finding(id)?.number();
            let visit = super::visit::of(record.case(&client)?.visits, number)?;
            let clips = record.sounds(&client)?;
            let teaches = record.transcript_of_finding(id)?.is_some();
            Ok((client, kept, visit, clips, teaches))
        })
        .await?;
    page(&Page {
        id,
        address: in_address(&client),
        client,
        visit: visit.number,
        date: day(&visit.date),
        signed: visit.signed.is_some(),
        sentence: written(&desk.grammar, &kept.finding),
        choices: amendment::choices(&desk.grammar, &kept.finding),
        heard: kept.heard,
        clip: clips
            .iter()
            .rev()
            .find(|clip| clip.finding == Some(id))
            .map(|clip| clip.id),
        teaches,
    })
}

#[derive(Deserialize)]
pub struct Words {
    words: String,
    #[serde(default)]
    because: String,
    /// It is learnt from.
    #[serde(default)]
    learn: Option<String>,
}

#[derive(Deserialize)]
pub struct New {
    words: String,
    /// The words as heard that these are written for, if they are.
    #[serde(default)]
    heard: String,
    /// The number of the talk that they are written for.
    #[serde(default)]
    aside: String,
}

/// Gives it another value.
pub async fn change(State(desk): State<Arc<Desk>>, Path(id): Path<i64>, Form(form): Form<Words>) -> Answer {
    let grammar = desk.grammar.clone();
    let words = form.words.clone();
    let (place, transcript) = desk
        .with(move |record, last| {
            let (client, kept) = record.finding(id)?;
            let transcript = record.transcript_of_finding(id)?.filter(|_| form.learn.is_some());
            let changed = amendment::amended(&grammar, &kept.finding, &form.words).map_err(said)?;
            let visit = record.visit_of_finding(id)?;
            record.say_because(typed(&form.because));
            let done = amendment::change(
                record,
                &grammar,
                id,
                changed,
                &amendment::all_words(&kept.heard, &form.words),
            );
            record.say_because(None);
            done?;
            *last = Some(Change::Changed {
                id,
                before: kept.finding,
                heard: kept.heard,
            });
            Ok((place(&client, visit.number()), transcript))
        })
        .await?;
    if let Some(transcript) = transcript {
        desk.learn(corrected(transcript, &words)).await?;
    }
    Ok(go_to(&place))
}

#[derive(Deserialize)]
pub struct Because {
    #[serde(default)]
    because: String,
}

/// Takes it back.
pub async fn take_back(
    State(desk): State<Arc<Desk>>,
    Path(id): Path<i64>,
    Form(form): Form<Because>,
) -> Answer {
    let place = desk
        .with(move |record, last| {
            let (client, kept) = record.finding(id)?;
            let visit = record.visit_of_finding(id)?.number();
            record.say_because(typed(&form.because));
            let done = amendment::take_back(record, id, kept.finding.clone());
            record.say_because(None);
            done?;
            let place = place(&client, visit);
            *last = Some(Change::TakenBack {
                client,
                visit,
                before: kept.finding,
                heard: kept.heard,
            });
            Ok(place)
        })
        .await?;
    Ok(go_to(&place))
}

/// Records what was typed as new findings.
pub async fn add(
    State(desk): State<Arc<Desk>>,
    Path((code, number)): Path<(String, i64)>,
    Form(form): Form<New>,
) -> Answer {
    let grammar = desk.grammar.clone();
    let place = place(&code, number);
    let lesson = typed(&form.heard).map(|heard| written_for(heard, &form.words));
    desk.with(move |record, last| {
        let visit = record.visit_of(&code, Some(number))?;
        for finding in amendment::typed(&grammar, &form.words).map_err(said)? {
            if let Some(id) = amendment::add(record, &grammar, visit, finding, &form.words)? {
                *last = Some(Change::Added { id });
            }
        }
        if let Ok(aside) = form.aside.parse() {
            record.erase_aside(visit, aside)?;
        }
        Ok(())
    })
    .await?;
    if let Some(lesson) = lesson {
        desk.learn(lesson).await?;
    }
    Ok(go_to(&place))
}

fn said(why: String) -> Refusal {
    Refusal::Said(why)
}
