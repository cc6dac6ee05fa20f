//! The confirm state machine joined to a real record: dictations as text in, events out.

mod answers;
mod assessment;
mod control_words;
mod conversations;
mod kill;
mod learning;
mod listening;
mod locked;
mod lost_sound;
mod missed;
mod restart;
mod room;
mod second;
mod standing;
mod way_in;

use std::path::Path;
use std::sync::{Arc, OnceLock};
use std::time::Duration;

use couchside::event::Event;
use couchside::grammar::Grammar;
use couchside::hear::engine::{Ending, Transcript};
use couchside::hear::search::Hypothesis;
use couchside::hear::{Heard, Utterance};
use couchside::pipeline::Visit;
use couchside::record::{Passphrase, Record};

fn grammar() -> Arc<Grammar> {
    static GRAMMAR: OnceLock<Arc<Grammar>> = OnceLock::new();
    GRAMMAR
        .get_or_init(|| Arc::new(Grammar::carried().expect("the carried grammar is whole")))
        .clone()
}

fn passphrase() -> Passphrase {
    Passphrase::new("a long throw-away passphrase".into()).expect("not empty")
}

/// A visit in a record in `home`, which is made if it is not there.
fn visit(home: &Path) -> Visit {
    let record = match Record::exists(home) {
        true => Record::open(home, &passphrase()),
        false => Record::create(home, &passphrase()),
    };
    Visit::open(record.expect("a record"), "demo-7", "tiny.en", grammar()).expect("a visit")
}

/// An utterance that the recogniser heard plainly as `words`.
fn heard(words: &str) -> Heard {
    let free = Transcript {
        text: words.into(),
        tokens: Vec::new(),
        log_probabilities: Vec::new(),
        ending: Ending::Heard,
    };
    Heard {
        start_s: 0.0,
        end_s: 1.0,
        again: Some(free.clone()),
        free,
        sentences: vec![Hypothesis {
            text: words.into(),
            tokens: Vec::new(),
            score: 0.0,
            bends: vec![0.0],
            distance: 0.0,
            proposed: false,
        }],
        utterance: Utterance {
            start_s: 0.0,
            end_s: 1.0,
            samples: Vec::new(),
        },
        over_voice: false,
        let_in: false,
        no_speech: 0.0,
        sounds: 30,
        model: "tiny.en".into(),
        took: Duration::ZERO,
        answered_s: None,
    }
}

/// The events of an utterance, each as a short line: its name and what matters of it.
fn events(visit: &mut Visit, words: &str) -> Vec<String> {
    lines(&visit.take(&heard(words)).expect("the record can be written"))
}

fn lines(events: &[Event]) -> Vec<String> {
    let line = |event: &Event| match event {
        Event::Heard { .. } => "heard".to_string(),
        Event::Opened => "open".to_string(),
        Event::Closed => "closed".to_string(),
        Event::Proposed { finding, .. } => format!("proposed {}", couchside::review::fields(finding)),
        Event::Corrected { finding, .. } => format!("corrected {}", couchside::review::fields(finding)),
        Event::Disregarded { finding, .. } => format!("disregarded {}", couchside::review::fields(finding)),
        Event::Parked { finding, .. } => format!("put aside {}", couchside::review::fields(finding)),
        Event::Recorded { finding, .. } => format!("recorded {}", couchside::review::fields(finding)),
        Event::Withdrawn { finding, .. } => format!("taken back {}", couchside::review::fields(finding)),
        Event::Asked { question, .. } => format!("asked {question}"),
        Event::Said { text } => format!("said {text}"),
        Event::Notice { text } => format!("notice {text}"),
        Event::Caution { title, .. } => format!("caution {title}"),
        Event::Aside { .. } => "aside".to_string(),
        Event::Unclear { .. } => "unclear".to_string(),
    };
    events.iter().map(line).collect()
}
