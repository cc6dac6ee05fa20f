//! Every way to say a fragment or a number, read back from the automaton.

use std::collections::HashMap;

use super::chance::Chance;
use crate::grammar::Grammar;
use crate::grammar::automaton::{FragmentId, Node, Step};
use crate::grammar::lexicon::Word;
use crate::grammar::numbers::{Class, NumberNode, Value};

/// The wordings that can be spoken: no digits, no abbreviation written as a word, none of the words left out.
pub(super) struct Wordings {
    fragments: HashMap<FragmentId, Vec<Vec<Step>>>,
    numbers: HashMap<Class, HashMap<Value, Said>>,
}

/// The ways to say a number: digit by digit ("four five"), and the usual ones.
#[derive(Default)]
struct Said {
    by_digit: Vec<Vec<Word>>,
    usual: Vec<Vec<Word>>,
}

/// A number is said digit by digit this often, in percent, where there is another way.
const DIGIT_BY_DIGIT: usize = 8;

impl Wordings {
    pub(super) fn new(grammar: &Grammar, left_out: &[String]) -> Wordings {
        let spoken = |word: Word| {
            let word = grammar.lexicon.word(word);
            !word.contains(|letter: char| letter.is_ascii_digit()) && !left_out.iter().any(|out| out == word)
        };
        let mut ends: Vec<(Node, FragmentId, Vec<Step>)> = Vec::new();
        let mut open: Vec<(Node, Vec<Step>)> = vec![(0, Vec::new())];
        while let Some((node, steps)) = open.pop() {
            ends.extend(
                grammar
                    .automaton
                    .accepts(node)
                    .iter()
                    .map(|&fragment| (node, fragment, steps.clone())),
            );
            let words = grammar.automaton.arcs(node).filter(|&(word, _)| spoken(word));
            let words = words.map(|(word, next)| (Step::Word(word), next));
            let numbers = grammar
                .automaton
                .number_arcs(node)
                .map(|(class, next)| (Step::Number(class), next));
            open.extend(
                words
                    .chain(numbers)
                    .map(|(step, next)| (next, [&steps[..], &[step]].concat())),
            );
        }
        // Nodes are numbered as the files were read, so that the usual wording comes first.
        ends.sort_by_key(|end| end.0);
        let mut fragments: HashMap<FragmentId, Vec<Vec<Step>>> = HashMap::new();
        for (_, fragment, steps) in ends {
            fragments.entry(fragment).or_default().push(steps);
        }
        fragments
            .values_mut()
            .for_each(|wordings| drop_run_together(grammar, wordings));
        let numbers = Class::ALL.map(|class| (class, numbers(grammar, class, &spoken)));
        Wordings {
            fragments,
            numbers: numbers.into(),
        }
    }

    /// One way to say a fragment; `None` if there is none that can be spoken.
    pub(super) fn of(&self, fragment: FragmentId, chance: &mut Chance) -> Option<&[Step]> {
        chance.early(self.fragments.get(&fragment)?).map(Vec::as_slice)
    }

    /// One way to say a value.
    pub(super) fn number(&self, class: Class, value: Value, chance: &mut Chance) -> Option<&[Word]> {
        let said = self.numbers[&class].get(&value)?;
        let by_digit = said.usual.is_empty() || chance.percent(DIGIT_BY_DIGIT);
        let among = if by_digit && !said.by_digit.is_empty() {
            &said.by_digit
        } else {
            &said.usual
        };
        among.get(chance.below(among.len())).map(Vec::as_slice)
    }
}

/// Leaves out a wording that another one of the fragment says in more words: letters that are spoken one by one must
/// not be read as a word.
fn drop_run_together(grammar: &Grammar, wordings: &mut Vec<Vec<Step>>) {
    let squeezed = |steps: &Vec<Step>| -> String {
        let text = |step: &Step| match step {
            Step::Word(word) => grammar.lexicon.word(*word),
            Step::Number(class) => class.name(),
        };
        steps.iter().map(text).collect()
    };
    let longest = wordings.iter().fold(HashMap::new(), |mut longest, steps| {
        let most = longest.entry(squeezed(steps)).or_insert(0);
        *most = steps.len().max(*most);
        longest
    });
    wordings.retain(|steps| longest[&squeezed(steps)] == steps.len());
}

fn numbers(grammar: &Grammar, class: Class, spoken: &impl Fn(Word) -> bool) -> HashMap<Value, Said> {
    let trie = grammar.automaton.numbers(class);
    let digit = |word: &Word| {
        let alone = trie.next(0, *word).and_then(|node| trie.value(node));
        alone.is_none_or(|value| value.number < 10)
    };
    let mut all: HashMap<Value, Said> = HashMap::new();
    let mut open: Vec<(NumberNode, Vec<Word>)> = vec![(0, Vec::new())];
    while let Some((node, words)) = open.pop() {
        if let Some(value) = trie.value(node) {
            let said = all.entry(value).or_default();
            match value.number.abs() >= 10 && words.iter().all(digit) {
                true => said.by_digit.push(words.clone()),
                false => said.usual.push(words.clone()),
            }
        }
        let arcs = trie.arcs(node).filter(|&(word, _)| spoken(word));
        open.extend(arcs.map(|(word, next)| (next, [&words[..], &[word]].concat())));
    }
    all
}
