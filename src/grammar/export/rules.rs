//! The automaton as rules of words. Endings that several wordings share are written once, as a rule of their own.

use std::collections::{BTreeMap, HashMap};

use super::super::Grammar;
use super::super::automaton::Step;
use super::super::fragment::Fill;
use super::super::numbers::{Class, NumberNode, NumberTrie};

/// What a rule says.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Expr {
    Word(String),
    Rule(String),
    Sequence(Vec<Expr>),
    OneOf(Vec<Expr>),
    Optional(Box<Expr>),
    /// Once or more.
    Repeat(Box<Expr>),
}

/// A rule with its name: letters, digits and `_`.
#[derive(Clone, Debug)]
pub(super) struct Rule {
    pub name: String,
    pub expr: Expr,
}

/// The name of the rule that others may call.
pub(super) const ROOT: &str = "dictation";
const PART: &str = "part";
const CONTROL: &str = "control";
const OPENING: &str = "opening";
const NOTE: &str = "note";

/// Every rule, the public one first.
pub(super) fn rules(grammar: &Grammar) -> Vec<Rule> {
    let mut tries: BTreeMap<String, Trie> = BTreeMap::new();
    grammar.automaton.wordings(|steps, ids| {
        let Some(labels) = labels(grammar, steps) else {
            return;
        };
        for &id in ids {
            if let Some(name) = rule_of(&grammar.automaton.fragment(id).fill) {
                tries.entry(name).or_default().add(&labels);
            }
        }
    });
    let names: Vec<String> = tries.keys().cloned().collect();
    let mut rules = head(&names);
    for (name, trie) in &tries {
        Writer::default().write(name, trie, &mut rules);
    }
    for class in Class::ALL {
        let trie = number_trie(grammar, grammar.automaton.numbers(class));
        Writer::default().write(&number_rule(class), &trie, &mut rules);
    }
    rules
}

/// The public rule, and the one that lists the parts of a finding.
fn head(names: &[String]) -> Vec<Rule> {
    let rule = |name: &str| Expr::Rule(name.to_string());
    let alone = [CONTROL, OPENING, NOTE];
    let there = |name: &str| names.iter().any(|known| known == name);
    let alone_here = alone.iter().filter(|name| there(name));
    let mut whole: Vec<Expr> = alone_here.map(|name| rule(name)).collect();
    let parts = Expr::Repeat(Box::new(rule(PART)));
    whole.push(if there(OPENING) {
        Expr::Sequence(vec![Expr::Optional(Box::new(rule(OPENING))), parts])
    } else {
        parts
    });
    let parts = names.iter().filter(|name| !alone.contains(&name.as_str()));
    vec![
        Rule {
            name: ROOT.into(),
            expr: Expr::OneOf(whole),
        },
        Rule {
            name: PART.into(),
            expr: Expr::OneOf(parts.map(|name| rule(name)).collect()),
        },
    ]
}

/// The rule that a meaning's wordings belong to; fillers that are not listened for have none.
fn rule_of(fill: &Fill) -> Option<String> {
    let name = match fill {
        Fill::Control { opens: false, .. } => CONTROL,
        Fill::Control { opens: true, .. } => OPENING,
        Fill::Note => NOTE,
        Fill::Filler { heard: true } => "filler",
        Fill::Filler { heard: false } => return None,
        fill => fill.slot().name(),
    };
    Some(name.replace(' ', "_"))
}

fn number_rule(class: Class) -> String {
    format!("number_{}", class.name())
}

#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
enum Label {
    Word(String),
    Number(Class),
}

/// The words of a wording; `None` if one is written in digits, which nobody speaks.
fn labels(grammar: &Grammar, steps: &[Step]) -> Option<Vec<Label>> {
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
struct Trie {
    next: BTreeMap<Label, Trie>,
    ends: bool,
}

impl Trie {
    fn add(&mut self, labels: &[Label]) {
        match labels.split_first() {
            None => self.ends = true,
            Some((first, rest)) => self.next.entry(first.clone()).or_default().add(rest),
        }
    }
}

fn number_trie(grammar: &Grammar, numbers: &NumberTrie) -> Trie {
    fn below(grammar: &Grammar, numbers: &NumberTrie, node: NumberNode) -> Trie {
        let mut trie = Trie {
            ends: numbers.value(node).is_some(),
            ..Trie::default()
        };
        for (word, next) in numbers.arcs(node) {
            if let Some(word) = spoken(grammar.lexicon.word(word)) {
                let deeper = below(grammar, numbers, next);
                // Digits may have been the only way on.
                if deeper.ends || !deeper.next.is_empty() {
                    trie.next.insert(Label::Word(word), deeper);
                }
            }
        }
        trie
    }
    below(grammar, numbers, 0)
}

/// What may follow: does the wording end here, and which words lead to which other such place.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
struct Ending {
    ends: bool,
    next: Vec<(Vec<Label>, usize)>,
}

/// Writes one trie as rules. Equal endings become one.
#[derive(Default)]
struct Writer {
    endings: Vec<Ending>,
    numbers: HashMap<Ending, usize>,
    /// How many places lead to each ending.
    uses: Vec<usize>,
}

/// An ending that several places share is a rule of its own from this many words on.
const WORTH_A_RULE: usize = 4;

impl Writer {
    fn write(mut self, name: &str, trie: &Trie, rules: &mut Vec<Rule>) {
        let root = self.ending(trie);
        self.uses = vec![0; self.endings.len()];
        for ending in &self.endings {
            for (_, next) in &ending.next {
                self.uses[*next] += 1;
            }
        }
        let shared: Vec<usize> = (0..self.endings.len())
            .filter(|&number| number != root && self.is_shared(number))
            .collect();
        let names: HashMap<usize, String> = shared
            .iter()
            .enumerate()
            .map(|(at, &number)| (number, format!("{name}_{}", at + 1)))
            .collect();
        rules.push(Rule {
            name: name.to_string(),
            expr: self.ways(root, &names),
        });
        for number in shared {
            rules.push(Rule {
                name: names[&number].clone(),
                expr: self.ways(number, &names),
            });
        }
    }

    fn is_shared(&self, number: usize) -> bool {
        self.uses[number] > 1 && self.words(number) >= WORTH_A_RULE
    }

    /// How many words it takes to write an ending out.
    fn words(&self, number: usize) -> usize {
        let next = self.endings[number].next.iter();
        next.map(|(labels, next)| labels.len() + self.words(*next)).sum()
    }

    fn ending(&mut self, trie: &Trie) -> usize {
        let mut by_place: BTreeMap<usize, Vec<Label>> = BTreeMap::new();
        for (label, next) in &trie.next {
            let next = self.ending(next);
            by_place.entry(next).or_default().push(label.clone());
        }
        let ending = Ending {
            ends: trie.ends,
            next: by_place
                .into_iter()
                .map(|(next, labels)| (labels, next))
                .collect(),
        };
        if let Some(&known) = self.numbers.get(&ending) {
            return known;
        }
        self.endings.push(ending.clone());
        self.numbers.insert(ending, self.endings.len() - 1);
        self.endings.len() - 1
    }

    /// The words that lead on from an ending, without asking whether it may stop there.
    fn ways(&self, number: usize, names: &HashMap<usize, String>) -> Expr {
        let mut ways = Vec::new();
        for (labels, next) in &self.endings[number].next {
            let mut first: Vec<Expr> = labels
                .iter()
                .map(|label| match label {
                    Label::Word(word) => Expr::Word(word.clone()),
                    Label::Number(class) => Expr::Rule(number_rule(*class)),
                })
                .collect();
            let Some(rest) = self.rest(*next, names) else {
                ways.append(&mut first);
                continue;
            };
            let first = one_of(first);
            ways.push(match rest {
                Expr::Sequence(rest) => Expr::Sequence([vec![first], rest].concat()),
                rest => Expr::Sequence(vec![first, rest]),
            });
        }
        one_of(ways)
    }

    /// What follows at an ending; nothing if nothing can.
    fn rest(&self, number: usize, names: &HashMap<usize, String>) -> Option<Expr> {
        let ending = &self.endings[number];
        if ending.next.is_empty() {
            return None;
        }
        let ways = match names.get(&number) {
            Some(name) => Expr::Rule(name.clone()),
            None => self.ways(number, names),
        };
        Some(if ending.ends {
            Expr::Optional(Box::new(ways))
        } else {
            ways
        })
    }
}

fn one_of(mut ways: Vec<Expr>) -> Expr {
    match ways.len() {
        1 => ways.swap_remove(0),
        _ => Expr::OneOf(ways),
    }
}
