//! Begins to listen for a client, from the page.

use std::sync::Arc;

use axum::Form;
use axum::extract::{Path, State};
use serde::Deserialize;

use super::answer::{Answer, Refusal, go_to};
use super::desk::Desk;
use super::live::Live;
use crate::error::Result;
use crate::record::Passphrase;

/// What listens. The page begins it and shows it.
pub trait Ears: Send + Sync {
    /// Begins to listen for a client, and returns once that is so. `sound`: the client allows that sound is kept.
    ///
    /// # Errors
    /// There is no model or no microphone, somebody listens for the client already, or the record can't be written.
    fn open(&self, client: &str, passphrase: &Passphrase, sound: bool) -> Result<Arc<Live>>;
}

#[derive(Deserialize)]
pub struct Begin {
    /// The client allows that sound is kept.
    #[serde(default)]
    sound: Option<String>,
}

/// Begins.
pub async fn begin(
    State(desk): State<Arc<Desk>>,
    Path(code): Path<String>,
    Form(form): Form<Begin>,
) -> Answer {
    // Only an unlocked page begins, and only for a client who is there.
    let asked = code.clone();
    desk.with(move |record, _| Ok(record.client(&asked)?)).await?;
    let begun = tokio::task::spawn_blocking(move || {
        desk.listen(&code, form.sound.is_some()).map(|()| go_to("/live"))
    });
    begun.await.unwrap_or(Err(Refusal::Broken))
}
