//! What is neither a control word, a note nor a correction: findings, talk, or words that must be said again.

use crate::finding::Outcome;
use crate::grammar::fragment::Fill;

use super::besides::{placed_signs, places, tricks};
use super::cover::Part;
use super::resolve::Resolved;
use super::{Interpreter, Reading, amend, named, new, talk, unclear};

/// An utterance with an unknown word is asked about, not passed over, if at most this share of it is unknown.
const MOST_UNKNOWN: f64 = 0.25;

impl Interpreter {
    pub(super) fn dictation(&self, words: &[String], parts: &[Part]) -> Reading {
        let unknown: Vec<&String> = parts
            .iter()
            .filter(|part| part.fill.is_none())
            .map(|part| &words[part.span.0])
            .collect();
        let of_talk = unknown
            .iter()
            .filter(|word| self.grammar.talk.contains(**word))
            .count();
        let asked = parts.iter().find_map(|part| match &part.fill {
            Some(Fill::Ask(why)) => Some(why),
            _ => None,
        });
        if let Some(why) = asked
            && of_talk < talk::MOST_TALK
        {
            return unclear(why);
        }
        let parts = tricks(&self.grammar, words, parts);
        let parts = places(&self.grammar, words, &parts);
        let named = placed_signs(&named(&parts));
        let context = named.iter().any(|part| part.slot().is_context());
        let result = named.iter().any(|part| part.slot().is_result());
        if !unknown.is_empty() {
            let length: usize = parts.iter().map(|part| part.span.1 - part.span.0).sum();
            let near = unknown.len() as f64 <= MOST_UNKNOWN * length as f64;
            let results = named.iter().filter(|part| part.slot().is_result()).count();
            let leans = results >= 2 && !self.context.is_empty();
            if leans && of_talk == 0 {
                return unclear("there is a word in it that I do not know");
            }
            return if context
                && result
                && of_talk < talk::MOST_TALK
                && ((near && of_talk == 0) || talk::speaks_the_trade(&named))
            {
                unclear("there is a word in it that I do not know")
            } else {
                new(Outcome::Aside)
            };
        }
        if talk::is_only_a_word(&self.context, &named) {
            return new(Outcome::Aside);
        }
        if let Some(last) = &self.context.last
            && let Some(completed) = amend::complete(&self.grammar, last, &named)
        {
            return Reading::of(completed, true);
        }
        match self.findings(&named, words) {
            Ok(Resolved { findings, from }) => Reading {
                from,
                ..new(Outcome::Finding { findings })
            },
            Err(_) if !result && named.iter().all(talk::is_place) => new(Outcome::Aside),
            // Numbers and words that belong to nothing.
            Err(_) if !context && self.context.is_empty() => new(Outcome::Aside),
            Err(why) => unclear(&why),
        }
    }
}
