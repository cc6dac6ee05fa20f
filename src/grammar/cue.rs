//! The cue: a word of the therapist's own choice that stands before dictation, so that nothing else in the room is taken for it.

use super::Grammar;
use super::fragment::Fill;

/// Most words of a cue.
const MOST_WORDS: usize = 3;
/// Fewest letters: what is shorter is heard everywhere.
const LEAST_LETTERS: usize = 5;

impl Grammar {
    /// Why these words can't be the cue, and what to do; `Ok` if they can. A cue must be heard for certain, and mean nothing else.
    pub fn may_be_cue(&self, words: &str) -> Result<(), String> {
        let words: Vec<String> = words
            .to_lowercase()
            .split_whitespace()
            .map(str::to_string)
            .collect();
        let shown = words.join(" ");
        let letters = words.iter().map(|word| word.chars().count()).sum::<usize>();
        if !words.iter().all(|word| word.chars().all(char::is_alphabetic)) {
            return Err(format!(
                "“{shown}” can't be the cue: write a word or a few, in letters only"
            ));
        }
        if words.len() > MOST_WORDS || letters < LEAST_LETTERS {
            return Err(format!(
                "“{shown}” can't be the cue: choose one to {MOST_WORDS} words, of {LEAST_LETTERS} letters or more together, \
                 so that it is heard well and is soon said"
            ));
        }
        let said = |word: &String| self.lexicon.number(word).is_some() || self.talk.contains(word);
        if words.iter().any(said) {
            return Err(format!(
                "“{shown}” can't be the cue: it has a meaning in dictation or is said in talk; choose what you never say otherwise"
            ));
        }
        Ok(())
    }

    /// How many of these words, from the first, are the cue.
    pub fn cue_in(&self, words: &[String]) -> usize {
        let words: Vec<_> = words.iter().map(|word| self.lexicon.number(word)).collect();
        let found = self.automaton.matches(&words, 0).into_iter();
        let cue = found.filter(|found| self.automaton.fragment(found.fragment).fill == Fill::Cue);
        cue.map(|found| found.end).max().unwrap_or(0)
    }
}
