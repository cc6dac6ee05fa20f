//! Texts as people and recognisers write them → their sounds; and numbers, which are written in digits and spoken in words.

use std::collections::HashMap;
use std::sync::Arc;

use crate::grammar::Grammar;
use crate::grammar::numbers::Class;
use crate::grammar::sounds::phones::Phone;

/// Says texts aloud, as it were.
pub(super) struct Spoken {
    grammar: Arc<Grammar>,
    /// The usual wording of each number that is written in digits.
    numbers: HashMap<String, Vec<String>>,
}

impl Spoken {
    pub(super) fn new(grammar: Arc<Grammar>) -> Spoken {
        Spoken {
            numbers: usual_wordings(&grammar),
            grammar,
        }
    }

    /// The sounds of a text, as it is written by people or recognisers.
    pub(super) fn sounds(&self, text: &str) -> Vec<Phone> {
        let words = self.grammar.words(text);
        let parts = words.iter().flat_map(|word| {
            // A letter with a number, as in the name of a nerve root.
            let letters = word.trim_end_matches(|c: char| c.is_ascii_digit()).len();
            let (letters, digits) = word.split_at(letters);
            [letters, digits].into_iter().filter(|part| !part.is_empty())
        });
        let spoken = parts.flat_map(|part| match self.numbers.get(part) {
            Some(wording) => wording.clone(),
            None => vec![part.to_string()],
        });
        let sound = |word: String| {
            self.grammar
                .sounds
                .ways(&word)
                .into_iter()
                .next()
                .unwrap_or_default()
        };
        spoken.flat_map(sound).collect()
    }

    /// A text of words with its numbers in digits, as recognisers like to write them.
    pub(super) fn in_digits(&self, text: &str) -> String {
        let trie = self.grammar.automaton.numbers(Class::Degrees);
        let words: Vec<&str> = text.split(' ').collect();
        let mut written: Vec<String> = Vec::new();
        let mut at = 0;
        while at < words.len() {
            let (mut node, mut number) = (0, None);
            for (length, word) in words[at..].iter().enumerate() {
                let Some(next) = self
                    .grammar
                    .lexicon
                    .number(word)
                    .and_then(|word| trie.next(node, word))
                else {
                    break;
                };
                node = next;
                // A sign stays a word: there are several ways to write it.
                if let Some(value) = trie.value(node).filter(|value| value.number >= 0) {
                    number = Some((length + 1, value.number));
                }
            }
            let (length, word) = number.map_or_else(
                || (1, words[at].to_string()),
                |(length, number)| (length, number.to_string()),
            );
            written.push(word);
            at += length;
        }
        written.join(" ")
    }
}

/// The wording of fewest words, and of those the longest, for each number written in digits.
fn usual_wordings(grammar: &Grammar) -> HashMap<String, Vec<String>> {
    let in_letters = |word| !grammar.lexicon.word(word).contains(|c: char| c.is_ascii_digit());
    let length = |words: &[String]| words.iter().map(String::len).sum::<usize>();
    let mut usual: HashMap<String, Vec<String>> = HashMap::new();
    for (words, value) in grammar.automaton.numbers(Class::Degrees).wordings(in_letters) {
        if value.number < 0 {
            continue;
        }
        let words: Vec<String> = words
            .iter()
            .map(|&word| grammar.lexicon.word(word).to_string())
            .collect();
        let known = usual.get(&value.number.to_string());
        let better = known
            .is_none_or(|known| (words.len(), length(known), &words) < (known.len(), length(&words), known));
        if better {
            usual.insert(value.number.to_string(), words);
        }
    }
    usual
}
