//! The passphrase: asked for at the start, after idle time, and when the first record is made.

use std::sync::Arc;

use askama::Template;
use axum::Form;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

use super::answer::{Answer, Refusal, go_to, page};
use super::desk::Desk;
use crate::record::{Passphrase, RecordError};

#[derive(Template)]
#[template(path = "unlock.html")]
struct Unlock {
    has_record: bool,
    why: Option<String>,
}

#[derive(Deserialize)]
pub struct Words {
    words: String,
    #[serde(default)]
    again: String,
}

/// Asks for it.
pub async fn show(State(desk): State<Arc<Desk>>) -> Answer {
    asks(&desk, None)
}

fn asks(desk: &Desk, why: Option<String>) -> Answer {
    page(&Unlock {
        has_record: desk.has_record(),
        why,
    })
}

/// Opens the record.
pub async fn unlock(State(desk): State<Arc<Desk>>, Form(form): Form<Words>) -> Answer {
    answered(desk, form, Desk::unlock).await
}

/// Makes the first record.
pub async fn make(State(desk): State<Arc<Desk>>, Form(form): Form<Words>) -> Answer {
    if form.words != form.again {
        return asks(
            &desk,
            Some("The two passphrases differ, so nothing was made. Type them again.".into()),
        );
    }
    answered(desk, form, Desk::make).await
}

async fn answered(
    desk: Arc<Desk>,
    form: Words,
    open: impl FnOnce(&Desk, &Passphrase) -> Result<(), RecordError> + Send + 'static,
) -> Answer {
    let asked = desk.clone();
    // A key is made slowly on purpose, and a wrong one is answered late.
    let opened = tokio::task::spawn_blocking(move || open(&asked, &Passphrase::new(form.words)?));
    match opened.await.map_err(|_| Refusal::Broken)? {
        Ok(()) => Ok(go_to("/")),
        Err(error @ (RecordError::WrongPassphrase | RecordError::EmptyPassphrase)) => {
            let mut why = error.to_string();
            why[..1].make_ascii_uppercase();
            asks(&desk, Some(format!("{why}.")))
        }
        Err(other) => Err(other.into()),
    }
}

/// Somebody types or points: that, too, is a touch.
///
/// # Errors
/// It is locked.
pub async fn awake(State(desk): State<Arc<Desk>>) -> Result<StatusCode, Refusal> {
    desk.with(|_, _| Ok(StatusCode::NO_CONTENT)).await
}

/// Closes the record.
pub async fn lock(State(desk): State<Arc<Desk>>) -> Response {
    desk.lock();
    go_to("/unlock")
}
