//! How a word that no dictionary has may sound, by its letters.

use std::collections::BTreeMap;

use super::phones::Phone;

/// How runs of letters sound. The longest run is read first.
#[derive(Clone, Debug, Default)]
pub struct Letters {
    runs: BTreeMap<String, Vec<Phone>>,
    longest: usize,
}

impl Letters {
    pub(super) fn new(runs: BTreeMap<String, Vec<Phone>>) -> Letters {
        Letters {
            longest: runs.keys().map(String::len).max().unwrap_or(0),
            runs,
        }
    }

    /// The phones of a run of small letters; other characters have no sound.
    pub fn sounded(&self, word: &str) -> Vec<Phone> {
        let letters = single(word);
        let mut sounds = Vec::new();
        let mut at = 0;
        while at < letters.len() {
            let run = (1..=self.longest.min(letters.len() - at))
                .rev()
                .find_map(|length| Some((length, self.runs.get(&letters[at..at + length])?)));
            match run {
                // A silent e ends a word.
                Some((1, _)) if at > 1 && &letters[at..] == "e" => break,
                Some((length, phones)) => {
                    sounds.extend(phones);
                    at += length;
                }
                None => at += 1,
            }
        }
        sounds
    }
}

/// The letters without the second of a double consonant.
fn single(word: &str) -> String {
    let mut letters = String::new();
    for letter in word.chars().filter(char::is_ascii_lowercase) {
        if !letters.ends_with(letter) || matches!(letter, 'e' | 'o') {
            letters.push(letter);
        }
    }
    letters
}
