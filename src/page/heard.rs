//! Everything that was heard in a visit, in order: what became of it, and talk folded away.

use std::collections::HashMap;

use super::visit::time;
use crate::grammar::Grammar;
use crate::readback::written;
use crate::record::{Became, Kept, Utterance};

/// A stretch of the visit.
pub enum Stretch {
    Said(Said),
    /// Talk that was no dictation, one after the other.
    Talk(Vec<Said>),
}

/// One utterance.
pub struct Said {
    pub at: String,
    pub heard: String,
    pub clip: Option<i64>,
    /// The finding that it became, as a sentence.
    pub finding: Option<(i64, String)>,
    /// What became of it otherwise.
    pub became: String,
    /// What can be written as a finding: its number if it is talk, 0 if it was not understood.
    pub writable: Option<i64>,
}

/// The whole visit.
pub fn heard(grammar: &Grammar, utterances: Vec<Utterance>, findings: &[Kept]) -> Vec<Stretch> {
    let sentences: HashMap<i64, String> = findings
        .iter()
        .map(|kept| (kept.id, written(grammar, &kept.finding)))
        .collect();
    let mut stretches = Vec::new();
    for utterance in utterances {
        let talk = matches!(utterance.became, Became::Aside(_));
        let said = said(&sentences, utterance);
        match (talk, stretches.last_mut()) {
            (true, Some(Stretch::Talk(before))) => before.push(said),
            (true, _) => stretches.push(Stretch::Talk(vec![said])),
            (false, _) => stretches.push(Stretch::Said(said)),
        }
    }
    stretches
}

fn said(sentences: &HashMap<i64, String>, utterance: Utterance) -> Said {
    let (became, finding, writable) = match utterance.became {
        Became::Finding(id) => (
            String::new(),
            sentences.get(&id).map(|sentence| (id, sentence.clone())),
            None,
        ),
        Became::Changed => ("A finding that was changed later".to_owned(), None, None),
        Became::TakenBack => ("A finding that was taken back".to_owned(), None, None),
        Became::Waits => ("Not confirmed yet".to_owned(), None, None),
        Became::LeftOut => ("Left out".to_owned(), None, None),
        Became::NotUnderstood(why) => (format!("Not understood: {why}"), None, Some(0)),
        Became::Aside(id) => (String::new(), None, Some(id)),
    };
    Said {
        at: time(&utterance.at),
        heard: utterance.heard,
        clip: utterance.clip,
        finding,
        became,
        writable,
    }
}
