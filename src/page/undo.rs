//! The last change, undone; that, too, stands in the history.

use std::sync::Arc;

use axum::extract::State;

use super::answer::{Answer, Refusal, go_to};
use super::desk::{Change, Desk};
use super::visit::place;
use crate::review::amendment;

/// Undoes it.
pub async fn undo(State(desk): State<Arc<Desk>>) -> Answer {
    let grammar = desk.grammar.clone();
    let place = desk
        .with(move |record, last| {
            let change = last
                .clone()
                .ok_or_else(|| Refusal::Said("There is nothing to undo.".to_owned()))?;
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
