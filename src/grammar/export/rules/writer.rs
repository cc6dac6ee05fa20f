//! Rules made of a tree of words: endings that several wordings share become one.

use std::collections::{BTreeMap, HashMap};

use super::super::super::weight::Weight;
use super::trie::{Label, Trie};
use super::{Expr, Rule, Way, number_rule};

/// What may follow: does the wording end here, and which words lead to which other such place.
/// Weights are less that of the likeliest of these, so that endings of rare and of common wordings can be one.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
struct Ending {
    ends: Option<Weight>,
    next: Vec<(Vec<Label>, usize, Weight)>,
}

/// Writes one trie as rules. Equal endings become one.
#[derive(Default)]
pub(super) struct Writer {
    endings: Vec<Ending>,
    numbers: HashMap<Ending, usize>,
    /// How many places lead to each ending.
    uses: Vec<usize>,
}

/// An ending that several places share is a rule of its own from this many words on.
const WORTH_A_RULE: usize = 4;

impl Writer {
    pub fn write(mut self, name: &str, trie: &Trie, rules: &mut Vec<Rule>) {
        let (root, _) = self.ending(trie);
        self.uses = vec![0; self.endings.len()];
        for ending in &self.endings {
            for (_, next, _) in &ending.next {
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
        next.map(|(labels, next, _)| labels.len() + self.words(*next))
            .sum()
    }

    /// The ending's number, and the weight of the likeliest wording in it.
    fn ending(&mut self, trie: &Trie) -> (usize, Weight) {
        let mut by_place: BTreeMap<(usize, Weight), Vec<Label>> = BTreeMap::new();
        for (label, next) in &trie.next {
            by_place.entry(self.ending(next)).or_default().push(label.clone());
        }
        let ahead = by_place.keys().map(|(_, weight)| *weight);
        let likeliest = ahead.chain(trie.ends).max().unwrap_or_default();
        let ending = Ending {
            ends: trie.ends.map(|weight| weight - likeliest),
            next: by_place
                .into_iter()
                .map(|((next, weight), labels)| (labels, next, weight - likeliest))
                .collect(),
        };
        if let Some(&known) = self.numbers.get(&ending) {
            return (known, likeliest);
        }
        self.endings.push(ending.clone());
        self.numbers.insert(ending, self.endings.len() - 1);
        (self.endings.len() - 1, likeliest)
    }

    /// The words that lead on from an ending, without asking whether it may stop there.
    fn ways(&self, number: usize, names: &HashMap<usize, String>) -> Expr {
        let mut ways = Vec::new();
        for (labels, next, weight) in &self.endings[number].next {
            let first: Vec<Expr> = labels
                .iter()
                .map(|label| match label {
                    Label::Word(word) => Expr::Word(word.clone()),
                    Label::Number(class) => Expr::Rule(number_rule(*class)),
                })
                .collect();
            let way = |expr| Way {
                weight: *weight,
                expr,
            };
            let Some(rest) = self.rest(*next, names) else {
                ways.extend(first.into_iter().map(way));
                continue;
            };
            let first = one_of(first.into_iter().map(Way::likely).collect());
            ways.push(way(match rest {
                Expr::Sequence(rest) => Expr::Sequence([vec![first], rest].concat()),
                rest => Expr::Sequence(vec![first, rest]),
            }));
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
        // What goes on is as likely as its likeliest way; the choice among its ways is weighed inside.
        let on = ending
            .next
            .iter()
            .map(|(.., weight)| *weight)
            .max()
            .unwrap_or_default();
        Some(match ending.ends {
            None => ways,
            Some(end) if end == on => Expr::Optional(Box::new(ways)),
            Some(end) => Expr::OneOf(vec![
                Way {
                    weight: end,
                    expr: Expr::Nothing,
                },
                Way {
                    weight: on,
                    expr: ways,
                },
            ]),
        })
    }
}

fn one_of(mut ways: Vec<Way>) -> Expr {
    match ways.len() {
        1 => ways.swap_remove(0).expr,
        _ => Expr::OneOf(ways),
    }
}
