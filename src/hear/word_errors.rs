//! Word error rate: how far a transcript is from what was said.
//!
//! The fewest words to replace, leave out or add to make one of the other (Levenshtein's distance over words),
//! divided by the number of words that were said.

use std::ops::{Add, AddAssign};

/// The errors of a transcript, or of many added up.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct WordErrors {
    /// Words heard as other words.
    pub substitutions: usize,
    /// Words said and not heard.
    pub deletions: usize,
    /// Words heard and not said.
    pub insertions: usize,
    /// Words said.
    pub said: usize,
}

impl WordErrors {
    /// Compares the words said with the words heard, as they are written; see [`words`] for evening out spelling.
    /// Where several alignments have equally few errors the split between the three kinds is one of theirs.
    pub fn between<W: AsRef<str>>(said: &[W], heard: &[W]) -> WordErrors {
        // Row by row, the errors of turning the first words said into the first words heard.
        let mut row: Vec<WordErrors> = (0..=heard.len())
            .map(|insertions| WordErrors {
                insertions,
                ..WordErrors::default()
            })
            .collect();
        for word in said {
            let mut diagonal = row[0];
            row[0].deletions += 1;
            for (place, other) in heard.iter().enumerate() {
                let mut best = diagonal;
                best.substitutions += usize::from(word.as_ref() != other.as_ref());
                diagonal = row[place + 1];
                let deletion = WordErrors {
                    deletions: diagonal.deletions + 1,
                    ..diagonal
                };
                let insertion = WordErrors {
                    insertions: row[place].insertions + 1,
                    ..row[place]
                };
                for other in [deletion, insertion] {
                    if other.errors() < best.errors() {
                        best = other;
                    }
                }
                row[place + 1] = best;
            }
        }
        WordErrors {
            said: said.len(),
            ..row[heard.len()]
        }
    }

    /// All errors together.
    pub fn errors(&self) -> usize {
        self.substitutions + self.deletions + self.insertions
    }

    /// Errors for each word said: 0 is perfect, and it can be above 1. If nothing was said: 0 if nothing was
    /// heard, otherwise the number of words heard.
    pub fn rate(&self) -> f64 {
        self.errors() as f64 / self.said.max(1) as f64
    }
}

impl Add for WordErrors {
    type Output = WordErrors;

    fn add(self, other: WordErrors) -> WordErrors {
        WordErrors {
            substitutions: self.substitutions + other.substitutions,
            deletions: self.deletions + other.deletions,
            insertions: self.insertions + other.insertions,
            said: self.said + other.said,
        }
    }
}

impl AddAssign for WordErrors {
    fn add_assign(&mut self, other: WordErrors) {
        *self = *self + other;
    }
}

impl std::iter::Sum for WordErrors {
    fn sum<I: Iterator<Item = WordErrors>>(errors: I) -> WordErrors {
        errors.fold(WordErrors::default(), Add::add)
    }
}

/// The words of a text, evened out for comparison: lower case, without punctuation. A hyphen or slash separates
/// words; an apostrophe stays within its word, and a sign or decimal point with its number (`-5`, `4+`, `1.5`).
pub fn words(text: &str) -> Vec<String> {
    let lower = text.to_lowercase().replace('’', "'");
    let letters: Vec<char> = lower.chars().collect();
    let is_digit = |at: Option<&char>| at.is_some_and(char::is_ascii_digit);
    let mut spaced = String::with_capacity(lower.len());
    for (at, &letter) in letters.iter().enumerate() {
        let before = at.checked_sub(1).and_then(|at| letters.get(at));
        let after = letters.get(at + 1);
        let word_before = before.is_some_and(|c| c.is_alphanumeric());
        let word_after = after.is_some_and(|c| c.is_alphanumeric());
        let stays = match letter {
            '\'' => word_before && word_after,
            '.' => is_digit(before) && is_digit(after),
            '+' => is_digit(before),
            '-' | '−' => (is_digit(before) && !word_after) || (!word_before && is_digit(after)),
            _ => letter.is_alphanumeric(),
        };
        spaced.push(match letter {
            '−' if stays => '-',
            _ if stays => letter,
            _ => ' ',
        });
    }
    spaced.split_whitespace().map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn errors(said: &str, heard: &str) -> (usize, usize, usize) {
        let errors = WordErrors::between(&words(said), &words(heard));
        (errors.substitutions, errors.deletions, errors.insertions)
    }

    #[test]
    fn each_kind_of_error_is_counted() {
        assert_eq!(errors("left hip flexion", "left hip flexion"), (0, 0, 0));
        assert_eq!(errors("left hip flexion", "left tip flexion"), (1, 0, 0));
        assert_eq!(errors("left hip flexion", "left flexion"), (0, 1, 0));
        assert_eq!(errors("left hip flexion", "the left hip flexion"), (0, 0, 1));
        assert_eq!(errors("a b c d", "b c d e"), (0, 1, 1));
        assert_eq!(errors("", "you"), (0, 0, 1));
        assert_eq!(errors("left hip", ""), (0, 2, 0));
    }

    #[test]
    fn rates_of_many_weigh_every_word_alike() {
        let (one, other) = (
            WordErrors::between(&["a"], &["b"]),
            WordErrors::between(&["c", "d", "e"], &["c", "d", "e"]),
        );
        assert_eq!([one, other].into_iter().sum::<WordErrors>().rate(), 0.25);
        assert_eq!(WordErrors::between::<&str>(&[], &[]).rate(), 0.0);
        assert_eq!(WordErrors::between(&[], &["x", "y"]).rate(), 2.0);
    }

    #[test]
    fn spelling_is_evened_out() {
        assert_eq!(words(" Right hip, 45."), ["right", "hip", "45"]);
        assert_eq!(
            words("O'Brien’s well-known “test”…"),
            ["o'brien's", "well", "known", "test"]
        );
        assert_eq!(
            words("4+ out of 5; −5 to 1.5 and 4-"),
            ["4+", "out", "of", "5", "-5", "to", "1.5", "and", "4-"]
        );
        assert_eq!(words("60-120 ' - . +"), ["60", "120"]);
        assert!(words(" ?! ").is_empty());
    }
}
