//! It is known how every word is pronounced: one that has to be guessed by its letters may never be heard.

use super::super::error::GrammarError;
use super::super::sounds::WORDS;
use super::super::{Grammar, Source};
use super::Check;
use crate::grammar::own_words;

/// Adds a fault for each word that no list has. A therapist's own words may be guessed.
pub(super) fn every_word(source: &Source, grammar: &Grammar, faults: &mut Vec<GrammarError>) {
    let own = source.text(own_words::FILE).to_lowercase();
    for number in 0..grammar.lexicon.len() {
        let word = grammar.lexicon.word(number as u32);
        let spoken = !word.contains(|c: char| c.is_ascii_digit());
        if spoken && grammar.sounds.listed(word).is_none() && !own.contains(word) {
            faults.push(
                GrammarError::at(
                    WORDS,
                    source.text(WORDS),
                    0,
                    format!("it is not known how `{word}` is pronounced"),
                    format!("add a line {word} = \"...\" with its sounds, as the lines there show"),
                )
                .found_by(Check::Pronounced),
            );
        }
    }
}
