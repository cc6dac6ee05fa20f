//! Cautions that go with what was just recorded: which were shown is written down.

use crate::event::Event;
use crate::grammar::Grammar;
use crate::grammar::facts::Caution;
use crate::record::{Record, RecordError};

/// Those of a recorded finding, by its number, the most pressing first. That they were shown is an act.
///
/// # Errors
/// There is no such finding, or the record cannot be read. Where the act can't be written they are shown all the same.
pub fn cautions(record: &mut Record, grammar: &Grammar, id: i64) -> Result<Vec<Caution>, RecordError> {
    let (code, kept) = record.finding(id)?;
    let client = record.client(&code)?.details;
    let year = jiff::ZonedDateTime::now().year();
    let met: Vec<Caution> = grammar
        .facts
        .cautions_of(&kept.finding, &client, year)
        .into_iter()
        .cloned()
        .collect();
    for caution in &met {
        let _ = record.caution_shown(id, &caution.id);
    }
    Ok(met)
}

/// As it is shown and sounded.
pub fn told(grammar: &Grammar, id: i64, caution: Caution) -> Event {
    let sentence = &grammar.readback.answer.caution;
    Event::Caution {
        id,
        urgency: caution.urgency,
        text: sentence
            .replace("{says}", &caution.says)
            .replace("{action}", &caution.action),
        title: caution.title,
        source: format!("{} ({})", caution.source, caution.status),
    }
}
