//! One wording for each thing that can be said.

use super::super::Grammar;
use super::super::file::Text;
use super::super::pattern::{Piece, expand};

/// What is said for each value of a place: its name, or its shortest wording where the name is not said.
pub(super) fn values(grammar: &Grammar, slot: &str) -> Vec<String> {
    let mut shortest: Vec<Option<String>> = vec![None; grammar.names.len()];
    grammar.automaton.wordings(|steps, ids| {
        let wording = grammar.written(steps);
        for &id in ids {
            let known = &mut shortest[id as usize];
            let is_name = wording == grammar.names[id as usize];
            if is_name || known.as_ref().is_none_or(|known| wording.len() < known.len()) {
                let settled = known.as_ref() == Some(&grammar.names[id as usize]);
                if !settled {
                    *known = Some(wording.clone());
                }
            }
        }
    });
    let mut values = Vec::new();
    for (number, wording) in shortest.into_iter().enumerate() {
        let fragment = grammar.automaton.fragment(number as u32);
        if fragment.fill.slot().name() == slot && !fragment.after {
            values.extend(wording);
        }
    }
    values
}

/// The sentences that a wording stands for, the fullest first.
pub(super) fn sentences(wording: &Text) -> Vec<String> {
    let said = expand(wording.as_ref(), "").unwrap_or_default();
    let words = |pieces: Vec<Piece>| {
        let words: Vec<String> = pieces.iter().map(Piece::to_string).collect();
        words.join(" ")
    };
    said.into_iter().map(words).collect()
}
