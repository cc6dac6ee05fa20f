//! The words of the grammar, numbered.

use std::collections::HashMap;

/// Number of a word in the lexicon.
pub type Word = u32;

/// Every word that the grammar can hear, lower case.
#[derive(Clone, Debug, Default)]
pub struct Lexicon {
    words: Vec<String>,
    numbers: HashMap<String, Word>,
}

impl Lexicon {
    /// The word's number; a word not seen before gets the next one.
    pub fn add(&mut self, word: &str) -> Word {
        let word = word.to_lowercase();
        if let Some(&number) = self.numbers.get(&word) {
            return number;
        }
        let number = self.words.len() as Word;
        self.words.push(word.clone());
        self.numbers.insert(word, number);
        number
    }

    /// The number of a lower-case word, if the grammar knows it.
    pub fn number(&self, word: &str) -> Option<Word> {
        self.numbers.get(word).copied()
    }

    /// The word with this number.
    pub fn word(&self, number: Word) -> &str {
        &self.words[number as usize]
    }

    /// How many words there are.
    pub fn len(&self) -> usize {
        self.words.len()
    }

    /// There is no word.
    pub fn is_empty(&self) -> bool {
        self.words.is_empty()
    }
}
