//! Whether what was heard is what the program has just said: where its voice can't be taken out of what the microphone hears.

use std::collections::VecDeque;

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

    /// Whether these words, heard while the program spoke, are its own. Nothing at all is nobody's.
    pub(super) fn is(&self, heard: &[String]) -> bool {
        let own = |said: &Vec<String>| {
            let words = heard.iter().filter(|word| said.contains(word)).count();
            !heard.is_empty() && words as f32 >= SHARE * heard.len() as f32
        };
        self.said.iter().any(own)
    }
}
