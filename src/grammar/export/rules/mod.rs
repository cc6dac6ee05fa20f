//! The automaton as rules of words. Endings that several wordings share are written once, as a rule of their own.

mod trie;
mod writer;

use std::collections::BTreeMap;

use super::super::Grammar;
use super::super::fragment::Fill;
use super::super::numbers::Class;
use super::super::weight::Weight;
use trie::{Trie, labels, number_trie};
use writer::Writer;

/// What a rule says.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Expr {
    Word(String),
    Rule(String),
    Sequence(Vec<Expr>),
    OneOf(Vec<Way>),
    /// Nothing is said.
    Nothing,
    Optional(Box<Expr>),
    /// Once or more.
    Repeat(Box<Expr>),
}

/// One of several, and how likely it is beside the others.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Way {
    pub weight: Weight,
    pub expr: Expr,
}

impl Way {
    /// As likely as any.
    fn likely(expr: Expr) -> Way {
        Way {
            weight: Weight::NONE,
            expr,
        }
    }
}

/// Whether the ways of a choice are not all equally likely: then each is written with its weight.
pub(super) fn weighed(ways: &[Way]) -> bool {
    ways.iter().any(|way| way.weight != Weight::NONE)
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
        let weight = grammar.automaton.weight(steps);
        let Some(labels) = labels(grammar, steps) else {
            return;
        };
        for &id in ids {
            if let Some(name) = rule_of(&grammar.automaton.fragment(id).fill) {
                tries.entry(name).or_default().add(&labels, weight);
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
            expr: equal(whole),
        },
        Rule {
            name: PART.into(),
            expr: equal(parts.map(|name| rule(name)).collect()),
        },
    ]
}

/// A choice of what is equally likely.
fn equal(exprs: Vec<Expr>) -> Expr {
    Expr::OneOf(exprs.into_iter().map(Way::likely).collect())
}

/// The rule that a meaning's wordings belong to; fillers that are not listened for have none.
fn rule_of(fill: &Fill) -> Option<String> {
    let name = match fill {
        Fill::Control { opens: false, .. } => CONTROL,
        Fill::Control { opens: true, .. } => OPENING,
        Fill::Note => NOTE,
        Fill::Filler { heard: true } => "filler",
        // It is one therapist's.
        Fill::Cue | Fill::Filler { heard: false } => return None,
        fill => fill.slot().name(),
    };
    Some(name.replace(' ', "_"))
}

fn number_rule(class: Class) -> String {
    format!("number_{}", class.name())
}
