//! Whether what was heard is what the program has just said: where its voice can't be taken out of what the microphone hears.

use std::collections::VecDeque;

use crate::grammar::Grammar;
use crate::grammar::fragment::Slot;
use crate::interpret::every_fill;

/// So many sentences are remembered.
const REMEMBERED: usize = 4;
/// Of what is heard, at least this share of the words was just said: a recogniser mishears some.
const SHARE: f32 = 0.6;

/// What the program said lately.
#[derive(Debug, Default)]
pub(super) struct OwnVoice {
    said: VecDeque<Vec<String>>,
}

impl OwnVoice {
    /// The program says this.
    pub(super) fn says(&mut self, words: Vec<String>) {
        if self.said.len() == REMEMBERED {
            self.said.pop_front();
        }
        self.said.push_back(words);
    }

    /// Whether these words, heard while the program spoke, are its own. Nothing at all is nobody's, and a side, a number or
    /// anything else that is found and was not said is somebody else's.
    pub(super) fn is(&self, grammar: &Grammar, heard: &[String]) -> bool {
        let found = |word: &&String| {
            let fills = every_fill(grammar, word);
            fills
                .iter()
                .any(|fill| fill.slot() == Slot::Side || fill.slot().is_result())
        };
        let own = |said: &Vec<String>| {
            let (own, other): (Vec<&String>, Vec<&String>) =
                heard.iter().partition(|word| said.contains(word));
            !heard.is_empty() && own.len() as f32 >= SHARE * heard.len() as f32 && !other.iter().any(found)
        };
        self.said.iter().any(own)
    }
}
