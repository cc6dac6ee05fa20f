//! One finding, changed by typing or choosing, taken back, added; and the last of it undone.

use std::sync::Arc;

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::IntoResponse;
use axum::{Form, Json};
use serde::{Deserialize, Serialize};

use super::answer::{Answer, Refusal, go_to, page};
use super::desk::{Change, Desk};
use super::form::{in_address, typed};
use super::visit::place;
use crate::finding::Finding;
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
}

/// Shows it, to be changed.
pub async fn show(State(desk): State<Arc<Desk>>, Path(id): Path<i64>) -> Answer {
    let (client, kept, visit, clips) = desk
        .with(move |record, _| {
            let (client, kept) = record.finding(id)?;
            let number = record.visit_of_finding(id)?.number();
            let visit = super::visit::of(record.case(&client)?.visits, number)?;
            let clips = record.sounds(&client)?;
            Ok((client, kept, visit, clips))
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
    })
}

#[derive(Deserialize)]
pub struct Words {
    words: String,
    #[serde(default)]
    because: String,
}

#[derive(Deserialize)]
pub struct Typing {
    /// The finding that is changed; a new one if there is none.
    id: Option<i64>,
    words: String,
}

/// How typed words are read.
#[derive(Serialize)]
struct Reads {
    #[serde(skip_serializing_if = "Option::is_none")]
    becomes: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    why_not: Option<String>,
}

/// Reads words as they are typed; nothing is written.
pub async fn read(State(desk): State<Arc<Desk>>, Query(typing): Query<Typing>) -> Answer {
    let before = match typing.id {
        Some(id) => Some(
            desk.with(move |record, _| Ok(record.finding(id)?.1.finding))
                .await?,
        ),
        // Also where nothing is looked up, only an unlocked page reads.
        None => desk.with(|_, _| Ok(None)).await?,
    };
    let said = |finding: &Finding| written(&desk.grammar, finding);
    let read = match before {
        Some(before) => {
            amendment::amended(&desk.grammar, &before, &typing.words).map(|changed| said(&changed))
        }
        None => amendment::typed(&desk.grammar, &typing.words)
            .map(|findings| findings.iter().map(said).collect::<Vec<_>>().join(" ")),
    };
    let (becomes, why_not) = match read {
        Ok(becomes) => (Some(becomes), None),
        Err(why) => (None, Some(why)),
    };
    Ok(Json(Reads { becomes, why_not }).into_response())
}

/// Gives it another value.
pub async fn change(State(desk): State<Arc<Desk>>, Path(id): Path<i64>, Form(form): Form<Words>) -> Answer {
    let grammar = desk.grammar.clone();
    let place = desk
        .with(move |record, last| {
            let (client, kept) = record.finding(id)?;
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
            Ok(place(&client, visit.number()))
        })
        .await?;
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
    Form(form): Form<Words>,
) -> Answer {
    let grammar = desk.grammar.clone();
    let place = place(&code, number);
    desk.with(move |record, last| {
        let visit = record.visit_of(&code, Some(number))?;
        for finding in amendment::typed(&grammar, &form.words).map_err(said)? {
            if let Some(id) = amendment::add(record, &grammar, visit, finding, &form.words)? {
                *last = Some(Change::Added { id });
            }
        }
        Ok(())
    })
    .await?;
    Ok(go_to(&place))
}

/// Undoes what was changed last; that, too, stands in the history.
pub async fn undo(State(desk): State<Arc<Desk>>) -> Answer {
    let grammar = desk.grammar.clone();
    let place = desk
        .with(move |record, last| {
            let change = last
                .clone()
                .ok_or_else(|| said("There is nothing to undo.".to_owned()))?;
            let place = match change {
                Change::Changed { id, before, heard } => {
                    let (client, _) = record.finding(id)?;
                    let visit = record.visit_of_finding(id)?.number();
                    amendment::change(record, &grammar, id, before, &heard)?;
                    place(&client, visit)
                }
                Change::TakenBack {
                    client,
                    visit,
                    before,
                    heard,
                } => {
                    let open = record.visit_of(&client, Some(visit))?;
                    amendment::add(record, &grammar, open, before, &heard)?;
                    place(&client, visit)
                }
                Change::Added { id } => {
                    let (client, kept) = record.finding(id)?;
                    let visit = record.visit_of_finding(id)?.number();
                    amendment::take_back(record, id, kept.finding)?;
                    place(&client, visit)
                }
            };
            *last = None;
            Ok(place)
        })
        .await?;
    Ok(go_to(&place))
}

fn said(why: String) -> Refusal {
    Refusal::Said(why)
}
