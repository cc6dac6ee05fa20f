//! Answers: a page, a picture of what went wrong, or the way to another page.

use askama::Template;
use axum::http::StatusCode;
use axum::http::header::LOCATION;
use axum::response::{Html, IntoResponse, Response};

use crate::record::RecordError;

/// Why something was not done.
#[derive(Debug)]
pub enum Refusal {
    /// The record is closed.
    Locked,
    Record(RecordError),
    /// In words for the therapist.
    Said(String),
    NotThere,
    /// The program failed.
    Broken,
}

/// What a handler gives.
pub type Answer = Result<Response, Refusal>;

impl From<RecordError> for Refusal {
    fn from(error: RecordError) -> Refusal {
        Refusal::Record(error)
    }
}

/// A page from its template.
pub fn page(template: &impl Template) -> Answer {
    let text = template.render().map_err(|_| Refusal::Broken)?;
    Ok(Html(text).into_response())
}

/// The browser goes there next, and "back" does not send a form again.
pub fn go_to(place: &str) -> Response {
    (StatusCode::SEE_OTHER, [(LOCATION, place)]).into_response()
}

#[derive(Template)]
#[template(path = "refused.html")]
struct Refused<'a> {
    why: &'a str,
}

/// Says why not.
pub fn refused(status: StatusCode, why: &str) -> Response {
    match (Refused { why }).render() {
        Ok(text) => (status, Html(text)).into_response(),
        Err(_) => (status, why.to_owned()).into_response(),
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        match self {
            Refusal::Locked => go_to("/unlock"),
            Refusal::Record(error) => {
                let why = error.to_string();
                let mut letters = why.chars();
                let why: String = letters.next().map_or(String::new(), |first| {
                    first.to_uppercase().chain(letters).collect()
                });
                refused(StatusCode::CONFLICT, &format!("{why}."))
            }
            Refusal::Said(why) => refused(StatusCode::UNPROCESSABLE_ENTITY, &why),
            Refusal::NotThere => refused(StatusCode::NOT_FOUND, "There is no such page."),
            Refusal::Broken => refused(
                StatusCode::INTERNAL_SERVER_ERROR,
                "This could not be shown. Nothing was changed; start couchside again.",
            ),
        }
    }
}

/// For addresses that lead nowhere.
pub async fn nothing_here() -> Refusal {
    Refusal::NotThere
}
