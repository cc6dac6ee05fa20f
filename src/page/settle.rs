//! What was dictated and not confirmed: recorded after all, corrected or completed by typing, or left out.

use std::sync::Arc;

use axum::Form;
use axum::extract::{Path, State};
use serde::Deserialize;

use super::answer::{Answer, Refusal, go_to};
use super::desk::Desk;
use super::form::typed;
use super::read::corrected;
use super::visit::place;
use crate::readback::Proposal;
use crate::review::amendment::{self, Unsettled};

#[derive(Deserialize)]
pub struct Settle {
    /// The proposal's number; all that are complete if there is none.
    id: Option<i64>,
    #[serde(default)]
    words: String,
    /// It is no finding.
    #[serde(default)]
    leave_out: Option<String>,
}

/// Records what was dictated and not confirmed, or leaves it out.
pub async fn settle(
    State(desk): State<Arc<Desk>>,
    Path((code, number)): Path<(String, i64)>,
    Form(form): Form<Settle>,
) -> Answer {
    let grammar = desk.grammar.clone();
    let place = place(&code, number);
    let words = form.words.clone();
    let transcript = desk
        .with(move |record, _| {
            let visit = record.visit_of(&code, Some(number))?;
            if let (Some(id), Some(_)) = (form.id, &form.leave_out) {
                record.disregard(record.proposal(visit, id)?.id)?;
                return Ok(None);
            }
            let transcript = match (form.id, typed(&form.words)) {
                (Some(id), Some(_)) => record.transcript(id)?,
                _ => None,
            };
            let waiting: Vec<Proposal> = match form.id {
                Some(id) => vec![record.proposal(visit, id)?],
                None => record
                    .pending(visit)?
                    .into_iter()
                    .filter(|waits| waits.finding.is_settled())
                    .collect(),
            };
            for waits in waiting {
                amendment::settle(record, &grammar, visit, waits, typed(&form.words).as_deref()).map_err(
                    |error| match error {
                        Unsettled::Said(why) => Refusal::Said(why),
                        Unsettled::Record(error) => error.into(),
                    },
                )?;
            }
            Ok(transcript)
        })
        .await?;
    if let Some(transcript) = transcript {
        desk.learn(corrected(transcript, &words)).await?;
    }
    Ok(go_to(&place))
}
