//! Which fields of findings go wrong, and what is taken for what.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::content::{Difference, content};
use super::judged::Judged;
use super::verdict::{Pair, Verdict};

/// How one field fared in the findings that were proposed for one that was said.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct FieldCounts {
    /// Findings in which it was said.
    pub said: usize,
    /// Wrong, in a finding without anything asked.
    pub wrong_silently: usize,
    /// Wrong, while another field is asked about.
    pub wrong_other_asked: usize,
    /// Wrong, and asked about.
    pub wrong_asked: usize,
    /// Right, and asked about needlessly.
    pub right_asked: usize,
}

/// What was taken for what, and how often.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Confusion {
    #[serde(flatten)]
    pub what: Difference,
    pub count: usize,
    /// How often nothing at all was asked.
    pub silently: usize,
}

/// The fields, by name.
pub fn by_field(judged: &[Judged]) -> BTreeMap<String, FieldCounts> {
    let mut fields: BTreeMap<String, FieldCounts> = BTreeMap::new();
    for pair in pairs(judged) {
        let said = content(&pair.said);
        let wrong: BTreeSet<&String> = pair.differences.iter().map(|one| &one.field).collect();
        let truly_open = super::content::open(&pair.said);
        let named: BTreeSet<&String> = said
            .keys()
            .chain(wrong.iter().copied())
            .chain(&pair.asked)
            .collect();
        for field in named {
            let counts = fields.entry(field.clone()).or_default();
            let asked = pair.asked.contains(field);
            counts.said += usize::from(said.contains_key(field));
            match wrong.contains(field) {
                true if asked => counts.wrong_asked += 1,
                true if pair.heard.is_settled() => counts.wrong_silently += 1,
                true => counts.wrong_other_asked += 1,
                false => counts.right_asked += usize::from(asked && !truly_open.contains(field)),
            }
        }
    }
    fields
}

/// The confusions, the most frequent first.
pub fn confusions(judged: &[Judged]) -> Vec<Confusion> {
    let mut counts: BTreeMap<&Difference, (usize, usize)> = BTreeMap::new();
    for pair in pairs(judged) {
        for difference in &pair.differences {
            let (count, silently) = counts.entry(difference).or_default();
            *count += 1;
            *silently += usize::from(pair.verdict() == Verdict::SilentlyWrong);
        }
    }
    let mut confusions: Vec<Confusion> = counts
        .into_iter()
        .map(|(what, (count, silently))| Confusion {
            what: what.clone(),
            count,
            silently,
        })
        .collect();
    // The sort is stable, so that equals stay in alphabetical order.
    confusions.sort_by_key(|confusion| std::cmp::Reverse((confusion.count, confusion.silently)));
    confusions
}

fn pairs(judged: &[Judged]) -> impl Iterator<Item = &Pair> {
    judged
        .iter()
        .filter_map(|one| one.judgement.as_ref())
        .flat_map(|judgement| &judgement.pairs)
}
