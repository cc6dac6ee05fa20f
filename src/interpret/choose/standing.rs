//! Whether an utterance, as far as it has been heard, may be all that is going to be said.

use crate::finding::{Finding, Kind, Outcome};
use crate::grammar::fragment::Fill;
use crate::grammar::numbers::Class;
use crate::grammar::phrase_state::States;
use crate::hear::Heard;
use crate::interpret::{Interpreter, fills};

use super::Belief;

/// How much of an utterance has been said when somebody pauses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Everything that a finding needs, and it is sure that it was this that was said.
    Whole,
    /// Something may follow or not: talk, a control word, a number whose words can go on, a reading that is not sure.
    MayGoOn,
    /// Something is still to be said: the beginning of a finding, or a note, whose end only its speaker knows.
    Unfinished,
}

impl Interpreter {
    /// How much of an utterance has been said, if this was heard when a pause began.
    ///
    /// A control word acts without being said back first, so it is never [`Standing::Whole`]: "confirm" may be the
    /// first word of a sentence to the client.
    pub fn standing(&self, heard: &Heard) -> Standing {
        let understood = self.choose(heard);
        let findings = match &understood.reading.outcome {
            Outcome::Finding { findings } => findings,
            Outcome::Control { findings, .. } => findings,
            Outcome::Aside | Outcome::Unclear { .. } => &Vec::new(),
        };
        if findings
            .iter()
            .any(|finding| finding.kind == Kind::Note || !finding.missing.is_empty())
        {
            return Standing::Unfinished;
        }
        let sure = Belief::of(&heard.model).is_some_and(|belief| understood.confidence >= belief.obey);
        if !findings.is_empty() && findings.iter().all(Finding::is_settled) {
            return match sure && !self.ends_in_open_number(&understood.words) {
                true => Standing::Whole,
                false => Standing::MayGoOn,
            };
        }
        let words = &understood.words;
        let begun = match &understood.reading.outcome {
            Outcome::Control { .. } => self.opens(words),
            Outcome::Aside | Outcome::Unclear { .. } => self.opens(words) || self.begins_something(words),
            Outcome::Finding { .. } => false,
        };
        match begun {
            true => Standing::Unfinished,
            false => Standing::MayGoOn,
        }
    }

    /// The first words are a note's or a correction's, which others follow.
    fn opens(&self, text: &str) -> bool {
        let mut fills = fills(&self.grammar, text).into_iter();
        let first = fills.find(|fill| *fill != Some(Fill::Cue)).flatten();
        matches!(first, Some(Fill::Note | Fill::Control { opens: true, .. }))
    }

    /// The grammar knows words that may follow all of these.
    fn begins_something(&self, text: &str) -> bool {
        let mut states = States::new(self.grammar.clone());
        let mut state = States::START;
        for word in self.grammar.words(text) {
            let word = self.grammar.lexicon.number(&word);
            match word.and_then(|word| states.step(state, word)) {
                Some((next, _)) => state = next,
                None => return false,
            }
        }
        let shape = states.shape(state);
        state != States::START && !states.words(shape).is_empty()
    }

    /// The last words are a number that more words can make another: ninety, ninety-five.
    fn ends_in_open_number(&self, text: &str) -> bool {
        let words = self.grammar.words(text);
        let words: Vec<_> = words
            .iter()
            .map(|word| self.grammar.lexicon.number(word))
            .collect();
        Class::ALL.into_iter().any(|class| {
            let trie = self.grammar.automaton.numbers(class);
            let value_from = |from: usize| {
                let mut rest = words[from..].iter().copied();
                let at = rest.try_fold(0, |at, word| trie.next(at, word?))?;
                trie.value(at)
            };
            let last = (0..words.len()).find_map(value_from);
            last.is_some_and(|value| trie.goes_on(value))
        })
    }
}
