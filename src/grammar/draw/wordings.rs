//! Every way to say a fragment or a number, read back from the automaton.

use std::collections::HashMap;

use super::chance::Chance;
use crate::grammar::Grammar;
use crate::grammar::automaton::{FragmentId, Node, Step};
use crate::grammar::fragment::Slot;
use crate::grammar::lexicon::Word;
use crate::grammar::numbers::{Class, Value};

/// The wordings that can be spoken: no digits, no abbreviation written as a word, none of the words left out.
pub(super) struct Wordings {
    fragments: HashMap<FragmentId, Vec<Wording>>,
    numbers: HashMap<Class, HashMap<Value, Said>>,
}

/// A way to say a fragment, and how usual it is.
struct Wording {
    steps: Vec<Step>,
    weight: usize,
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
        let fragments = fragments.into_iter().map(|(fragment, mut wordings)| {
            drop_respelt(grammar, &mut wordings);
            let slot = grammar.automaton.fragment(fragment).fill.slot();
            let is_name = slot.is_subject() || slot == Slot::Joint;
            (fragment, weighed(wordings, is_name))
        });
        let numbers = Class::ALL.map(|class| (class, numbers(grammar, class, &spoken)));
        Wordings {
            fragments: fragments.collect(),
            numbers: numbers.into(),
        }
    }

    /// One way to say a fragment; `None` if there is none that can be spoken.
    pub(super) fn of(&self, fragment: FragmentId, chance: &mut Chance) -> Option<&[Step]> {
        let wordings = self.fragments.get(&fragment)?;
        let weighted: Vec<(usize, &Wording)> =
            wordings.iter().map(|wording| (wording.weight, wording)).collect();
        chance.weighted(&weighted).map(|wording| wording.steps.as_slice())
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

/// Earlier wordings are the usual ones, and so are short ones, but for names: those are long or short as one likes.
fn weighed(wordings: Vec<Vec<Step>>, is_name: bool) -> Vec<Wording> {
    const HEAVIEST: usize = 1 << 20;
    let shortest = wordings.iter().map(Vec::len).min().unwrap_or(0);
    let mut ranks: HashMap<usize, usize> = HashMap::new();
    let weigh = |steps: Vec<Step>| {
        let longer = if is_name { 0 } else { steps.len() - shortest };
        let rank = ranks.entry(longer).or_insert(0);
        *rank += 1;
        Wording {
            weight: HEAVIEST / ((1 + longer) * (1 + longer) * *rank),
            steps,
        }
    };
    wordings.into_iter().map(weigh).collect()
}

/// Of wordings that differ in their spaces only, leaves out the ones that nobody would speak: letters that are said one
/// by one must not be read as a word ("ir"), and a word in two is heard as the word ("ad duction").
fn drop_respelt(grammar: &Grammar, wordings: &mut Vec<Vec<Step>>) {
    let texts = |steps: &[Step]| -> Vec<String> {
        let text = |step: &Step| match step {
            Step::Word(word) => grammar.lexicon.word(*word).to_string(),
            Step::Number(class) => class.name().to_string(),
        };
        steps.iter().map(text).collect()
    };
    let mut alike: HashMap<String, Vec<Vec<String>>> = HashMap::new();
    for steps in wordings.iter() {
        let words = texts(steps);
        alike.entry(words.concat()).or_default().push(words);
    }
    wordings.retain(|steps| {
        let words = texts(steps);
        let others = &alike[&words.concat()];
        let fewest = others.iter().map(Vec::len).min() == Some(words.len());
        let mut spelt = others.iter().flat_map(|other| runs_of_letters(other));
        match fewest {
            true => !spelt.any(|run| words.contains(&run)),
            false => !runs_of_letters(&words).is_empty(),
        }
    });
}

/// Two letters or more that stand by themselves in a row, put together.
fn runs_of_letters(words: &[String]) -> Vec<String> {
    let runs = words.split(|word| word.chars().count() > 1);
    runs.filter(|run| run.len() > 1).map(<[String]>::concat).collect()
}

fn numbers(grammar: &Grammar, class: Class, spoken: &impl Fn(Word) -> bool) -> HashMap<Value, Said> {
    let trie = grammar.automaton.numbers(class);
    let digit = |word: &Word| {
        let alone = trie.next(0, *word).and_then(|node| trie.value(node));
        alone.is_none_or(|value| value.number < 10)
    };
    let mut all: HashMap<Value, Said> = HashMap::new();
    for (words, value) in trie.wordings(spoken) {
        let said = all.entry(value).or_default();
        // Nobody says "minus zero".
        if value.number == 0 && value.sign == 0 && words.len() > 1 {
            continue;
        }
        match value.number.abs() >= 10 && words.iter().all(digit) {
            true => said.by_digit.push(words),
            false => said.usual.push(words),
        }
    }
    all
}
