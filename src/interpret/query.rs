//! The words of a search → the fields that a finding must have, as far as the grammar knows them.

use crate::finding::{Finding, Kind};
use crate::grammar::Grammar;
use crate::grammar::fragment::Slot;

use super::apply::{Surroundings, apply_all};
use super::cover::{Part, cover};

/// What is looked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Sought {
    /// Only what was named stands in it.
    pub finding: Finding,
    /// The words that are no field of a finding, in order.
    pub words: Vec<String>,
}

/// Reads a search. Nothing is missing in it and nothing is asked: what can't be a field is left as words.
pub fn sought(grammar: &Grammar, text: &str) -> Sought {
    let words = grammar.words(text);
    let around = Surroundings { grammar, joint: None };
    let mut parts = cover(grammar, &words);
    // What was examined goes first: a result takes its meaning from it.
    parts.sort_by_key(|part| !part.slot().is_context());
    let mut finding = Finding::new(Kind::Movement);
    let mut left: Vec<&Part> = Vec::new();
    for part in &parts {
        let mut with = finding.clone();
        let applied = apply_all(&around, &mut with, std::slice::from_ref(part));
        match part.slot() {
            Slot::None if part.fill.is_some() && part.values.is_empty() => {}
            _ if applied.is_ok() && with != finding => finding = with,
            _ => left.push(part),
        }
    }
    left.sort_by_key(|part| part.span);
    let words_of = |part: &&Part| words[part.span.0..part.span.1].to_vec();
    Sought {
        finding,
        words: left.iter().flat_map(words_of).collect(),
    }
}
