//! The wordings of a rule as a tree of words.

use std::collections::BTreeMap;

use super::super::super::Grammar;
use super::super::super::automaton::Step;
use super::super::super::numbers::{Class, NumberNode, NumberTrie};
use super::super::super::weight::Weight;

#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) enum Label {
    Word(String),
    Number(Class),
}

/// The words of a wording; `None` if one is written in digits, which nobody speaks.
pub(super) fn labels(grammar: &Grammar, steps: &[Step]) -> Option<Vec<Label>> {
    let label = |step: &Step| match step {
        Step::Word(word) => spoken(grammar.lexicon.word(*word)).map(Label::Word),
        Step::Number(class) => Some(Label::Number(*class)),
    };
    steps.iter().map(label).collect()
}

fn spoken(word: &str) -> Option<String> {
    (!word.contains(|c: char| c.is_ascii_digit())).then(|| word.to_string())
}

#[derive(Clone, Debug, Default)]
pub(super) struct Trie {
    pub next: BTreeMap<Label, Trie>,
    /// The weight of the wording that ends here, if one does.
    pub ends: Option<Weight>,
}

impl Trie {
    pub fn add(&mut self, labels: &[Label], weight: Weight) {
        match labels.split_first() {
            None => self.ends = self.ends.max(Some(weight)),
            Some((first, rest)) => self.next.entry(first.clone()).or_default().add(rest, weight),
        }
    }
}

pub(super) fn number_trie(grammar: &Grammar, numbers: &NumberTrie) -> Trie {
    fn below(grammar: &Grammar, numbers: &NumberTrie, node: NumberNode) -> Trie {
        let mut trie = Trie {
            ends: numbers.value(node).map(|_| Weight::NONE),
            ..Trie::default()
        };
        for (word, next) in numbers.arcs(node) {
            if let Some(word) = spoken(grammar.lexicon.word(word)) {
                let deeper = below(grammar, numbers, next);
                // Digits may have been the only way on.
                if deeper.ends.is_some() || !deeper.next.is_empty() {
                    trie.next.insert(Label::Word(word), deeper);
                }
            }
        }
        trie
    }
    below(grammar, numbers, 0)
}
