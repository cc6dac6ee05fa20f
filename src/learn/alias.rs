//! Misheard words: what the model writes when the therapist says something that the grammar knows.

use serde::{Deserialize, Serialize};

use crate::grammar::Grammar;
use crate::grammar::fragment::{Fill, Slot};
use crate::hear::ByEar;
use crate::interpret::{every_fill, fills};

/// Words as they were misheard and what they stood for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Alias {
    /// The words that the model wrote; the grammar does not know all of them.
    pub heard: String,
    /// The grammar's words that had been said.
    pub means: String,
    /// In how many utterances it would have helped, or did, and the finding was then confirmed.
    #[serde(default)]
    pub helped: u32,
    /// After how many readings that leaned on it the therapist had to correct or to drop the finding.
    #[serde(default)]
    pub misled: u32,
}

/// It is listened for once it has been seen to help so often.
const ENOUGH: u32 = 2;
/// For each time that it misled it must have helped so often.
const WORTH: u32 = 4;

impl Alias {
    /// It has been seen to help, and seldom or never to mislead.
    pub fn is_trusted(&self) -> bool {
        self.helped >= ENOUGH && self.helped >= WORTH * self.misled
    }
}

/// Words of the longest alias, on either side.
const MOST_WORDS: usize = 5;
/// Letters of the shortest misheard form: less is too little to be told from other talk.
const LEAST_LETTERS: usize = 4;
/// How far the sounds may be apart, for each sound. From about 0.5 it was not misheard but put otherwise.
const FAR: f32 = 0.5;
/// The same where only the name is known, and not the sentence that it stood in.
const NEAR: f32 = 0.3;

/// The misheard forms in what the model wrote of an utterance, `heard`, if it was the grammar's sentence `said`: each with
/// the grammar's words that it stood for. None where something else than a name was misheard, or where the grammar knows
/// the words that were heard.
pub fn misheard(grammar: &Grammar, by_ear: &ByEar, heard: &str, said: &str) -> Vec<(String, String)> {
    let (heard, said) = (grammar.words(heard), grammar.words(said));
    let mut found = Vec::new();
    for ((from, to), (first, end)) in unlike(&heard, &said) {
        let (wrong, right) = (heard[from..to].join(" "), said[first..end].join(" "));
        let short = to - from <= MOST_WORDS && end - first <= MOST_WORDS;
        let learnable = is_no_wording(grammar, &wrong) && is_name(grammar, &right);
        if short && learnable && by_ear.distance(&right, &wrong) <= FAR {
            found.push((wrong, right));
        }
    }
    found
}

/// The misheard form of a name that was corrected: the stretch of what the model wrote that sounds most like it. `None` if
/// nothing does, or if the grammar knows the words that do.
pub fn misheard_name(grammar: &Grammar, by_ear: &ByEar, heard: &str, name: &str) -> Option<(String, String)> {
    let heard = grammar.words(heard);
    let words = grammar.words(name);
    // Words that only say that it is a correction stand before the name.
    let name = (0..words.len())
        .map(|from| words[from..].join(" "))
        .find(|rest| is_name(grammar, rest))?;
    let stretches = (0..heard.len()).flat_map(|from| {
        let longest = (from + MOST_WORDS).min(heard.len());
        (from + 1..=longest).map(move |to| (from, to))
    });
    let (distance, (from, to)) = stretches
        .map(|(from, to)| (by_ear.distance(&name, &heard[from..to].join(" ")), (from, to)))
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    let wrong = heard[from..to].join(" ");
    (distance <= NEAR && is_no_wording(grammar, &wrong)).then_some((wrong, name))
}

/// The grammar does not know all of these words, and they are enough to be told from other talk.
fn is_no_wording(grammar: &Grammar, words: &str) -> bool {
    let letters = words.chars().filter(|letter| letter.is_alphabetic()).count();
    letters >= LEAST_LETTERS && fills(grammar, words).iter().any(Option::is_none)
}

/// Every word of it names something. Sides, numbers and what is said to the program are never learnt: a slip there is the
/// worst that there is.
fn is_name(grammar: &Grammar, words: &str) -> bool {
    let named = |fill: &Fill| {
        fill.slot().is_subject()
            || matches!(
                fill.slot(),
                Slot::Joint | Slot::Mode | Slot::Position | Slot::EndFeel | Slot::Sign | Slot::LocalSign
            )
    };
    let known = fills(grammar, words);
    !known.is_empty()
        && known.iter().all(Option::is_some)
        && every_fill(grammar, words)
            .iter()
            .all(|fill| named(fill) || matches!(fill, Fill::Filler { .. }))
}

/// Where two rows of words differ: stretches with words on both sides, between words that they have in common (the longest
/// common subsequence).
fn unlike(one: &[String], other: &[String]) -> Vec<((usize, usize), (usize, usize))> {
    let mut common = vec![vec![0_usize; other.len() + 1]; one.len() + 1];
    for a in (0..one.len()).rev() {
        for b in (0..other.len()).rev() {
            common[a][b] = match one[a] == other[b] {
                true => common[a + 1][b + 1] + 1,
                false => common[a + 1][b].max(common[a][b + 1]),
            };
        }
    }
    let (mut a, mut b, mut begun) = (0, 0, (0, 0));
    let mut stretches = Vec::new();
    let mut close = |from: (usize, usize), to: (usize, usize)| {
        if from.0 < to.0 && from.1 < to.1 {
            stretches.push(((from.0, to.0), (from.1, to.1)));
        }
    };
    while a < one.len() && b < other.len() {
        if one[a] == other[b] {
            close(begun, (a, b));
            (a, b) = (a + 1, b + 1);
            begun = (a, b);
        } else if common[a + 1][b] >= common[a][b + 1] {
            a += 1;
        } else {
            b += 1;
        }
    }
    close(begun, (one.len(), other.len()));
    stretches
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<String> {
        text.split(' ').map(str::to_string).collect()
    }

    #[test]
    fn stretches_stand_between_common_words() {
        for (one, other, expected) in [
            (
                "left a doctor long is tender",
                "left adductor longus tender",
                vec![((1, 5), (1, 3))],
            ),
            ("a b c", "a b c", vec![]),
            ("a b", "a c b", vec![]),
            ("x b y", "z b w", vec![((0, 1), (0, 1)), ((2, 3), (2, 3))]),
            ("x", "y", vec![((0, 1), (0, 1))]),
        ] {
            assert_eq!(unlike(&words(one), &words(other)), expected, "{one} / {other}");
        }
    }

    #[test]
    fn it_is_trusted_once_it_has_helped_twice_and_no_more_if_it_misleads() {
        for (helped, misled, trusted) in [(1, 0, false), (2, 0, true), (3, 1, false), (4, 1, true)] {
            let alias = Alias {
                heard: "a doctor long is".into(),
                means: "adductor longus".into(),
                helped,
                misled,
            };
            assert_eq!(alias.is_trusted(), trusted, "{helped} {misled}");
        }
    }
}
