//! Typed words, read as they are typed: what they would become, and what they would teach. Nothing is written.

use std::sync::Arc;

use axum::Json;
use axum::extract::{Query, State};
use axum::response::IntoResponse;
use serde::{Deserialize, Serialize};

use super::answer::Answer;
use super::desk::Desk;
use super::form::typed;
use crate::finding::Finding;
use crate::learn::Lesson;
use crate::readback::written;
use crate::review::amendment;

#[derive(Deserialize)]
pub struct Typing {
    words: String,
    /// The finding that is changed; a new one if there is none.
    id: Option<i64>,
    /// The proposal that is corrected or completed.
    waits: Option<i64>,
    /// The words as heard that these are written for.
    #[serde(default)]
    heard: String,
}

/// How they are read.
#[derive(Serialize)]
struct Reads {
    #[serde(skip_serializing_if = "Option::is_none")]
    becomes: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    teaches: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    why_not: Option<String>,
}

/// Reads them.
pub async fn read(State(desk): State<Arc<Desk>>, Query(typing): Query<Typing>) -> Answer {
    // Also where nothing is looked up, only an unlocked page reads.
    let (id, waits) = (typing.id, typing.waits);
    let (before, transcript) = desk
        .with(move |record, _| {
            Ok(match (id, waits) {
                (Some(id), _) => (
                    Some(record.finding(id)?.1.finding),
                    record.transcript_of_finding(id)?,
                ),
                (None, Some(waits)) => (Some(record.waits(waits)?.finding), record.transcript(waits)?),
                (None, None) => (None, None),
            })
        })
        .await?;
    let said = |finding: &Finding| written(&desk.grammar, finding);
    let read = match &before {
        Some(before) => {
            amendment::amended(&desk.grammar, before, &typing.words).map(|changed| said(&changed))
        }
        None => amendment::typed(&desk.grammar, &typing.words)
            .map(|findings| findings.iter().map(said).collect::<Vec<_>>().join(" ")),
    };
    let lesson = match before {
        Some(_) => transcript.map(|heard| corrected(heard, &typing.words)),
        None => typed(&typing.heard).map(|heard| written_for(heard, &typing.words)),
    };
    let (becomes, why_not) = match read {
        Ok(becomes) => (Some(becomes), None),
        Err(why) => (None, Some(why)),
    };
    Ok(Json(Reads {
        teaches: lesson
            .filter(|_| becomes.is_some())
            .and_then(|lesson| in_words(&desk, &lesson)),
        becomes,
        why_not,
    })
    .into_response())
}

/// What correcting a finding teaches, of which the model wrote this.
pub fn corrected(heard: String, words: &str) -> Lesson {
    Lesson::Name {
        heard,
        name: words.to_owned(),
    }
}

/// What writing these words teaches for something that was heard in vain.
pub fn written_for(heard: String, words: &str) -> Lesson {
    Lesson::Sentence {
        heard,
        said: words.to_owned(),
    }
}

fn in_words(desk: &Desk, lesson: &Lesson) -> Option<String> {
    let misheard = desk.by_hand().would_teach(lesson);
    let each = misheard
        .iter()
        .map(|(heard, means)| format!("“{heard}” stands for “{means}”"));
    let each = each.collect::<Vec<_>>().join(", and ");
    (!misheard.is_empty())
        .then(|| format!("It teaches: {each}. That is listened for once it has helped twice."))
}
