//! Verdicts counted: for all utterances, and for each voice, noise, speed and kind.

use std::collections::BTreeMap;

use serde::Serialize;

use super::interval::wilson;
use super::judged::{Class, Judged};
use super::verdict::Verdict;
use crate::interpret::in_words;

/// How many utterances of one class got each verdict.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Counts {
    pub all: usize,
    by_verdict: BTreeMap<Verdict, usize>,
}

impl Counts {
    fn add(&mut self, verdict: Verdict) {
        self.all += 1;
        *self.by_verdict.entry(verdict).or_default() += 1;
    }

    /// How many got this verdict.
    pub fn of(&self, verdict: Verdict) -> usize {
        self.by_verdict.get(&verdict).copied().unwrap_or_default()
    }
}

/// A count of something among so many: its share and the interval of that share, both in per cent.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Share {
    pub count: usize,
    pub of: usize,
    /// Absent if there is nothing to take a share of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub percent: Option<f64>,
    /// The 95 % interval after Wilson.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub interval: Option<[f64; 2]>,
}

impl Share {
    /// Per cent are kept to two decimals.
    pub fn new(count: usize, of: usize) -> Share {
        let percent = |share: f64| (share * 10_000.0).round() / 100.0;
        Share {
            count,
            of,
            percent: (of > 0).then(|| percent(count as f64 / of as f64)),
            interval: wilson(count, of).map(|(low, high)| [percent(low), percent(high)]),
        }
    }
}

/// What utterances are grouped by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Dimension {
    Voice,
    Noise,
    Speed,
    Kind,
    FindingKind,
}

impl Dimension {
    /// All of them, in the order in which they are reported, with their names.
    pub const ALL: [(Dimension, &str); 5] = [
        (Dimension::Voice, "voice"),
        (Dimension::Noise, "noise"),
        (Dimension::Speed, "speed"),
        (Dimension::Kind, "kind of case"),
        (Dimension::FindingKind, "kind of finding"),
    ];

    /// The group of an utterance, and before it what groups are sorted by.
    fn group(self, judged: &Judged) -> (String, i64, String) {
        let conditions = &judged.conditions;
        let stated = |value: &Option<String>| value.clone().unwrap_or_else(|| NOT_STATED.into());
        let number = |text: &Option<String>| -> Option<i64> {
            Some((text.as_ref()?.trim().parse::<f64>().ok()? * 100.0).round() as i64)
        };
        match self {
            Dimension::Voice => (String::new(), 0, stated(&conditions.voice)),
            Dimension::Kind => (String::new(), 0, stated(&conditions.kind)),
            Dimension::Speed => (
                String::new(),
                number(&conditions.speed).unwrap_or_default(),
                stated(&conditions.speed),
            ),
            Dimension::Noise => {
                let noise = conditions.noise.clone();
                let level = conditions.snr_db.as_ref().map(|level| format!("{level} dB"));
                let order = -number(&conditions.snr_db).unwrap_or(i64::MAX);
                let label: Vec<String> = [noise.clone(), level].into_iter().flatten().collect();
                match label.is_empty() {
                    true => (String::new(), 0, NOT_STATED.into()),
                    false => (noise.unwrap_or_default(), order, label.join(", ")),
                }
            }
            Dimension::FindingKind => {
                let kinds = judged
                    .meant
                    .findings
                    .iter()
                    .map(|finding| serde_json::to_value(finding.kind));
                let mut kinds: Vec<String> = kinds.flatten().map(|kind| in_words(&kind)).collect();
                kinds.dedup();
                let label = match kinds.as_slice() {
                    [] => "none".into(),
                    [kind] => kind.clone(),
                    _ => "several".into(),
                };
                (String::new(), 0, label)
            }
        }
    }
}

/// What is shown for a condition that a case does not state.
const NOT_STATED: &str = "not stated";

/// All counts of a run.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    pub total: BTreeMap<Class, Counts>,
    groups: BTreeMap<Dimension, BTreeMap<(String, i64, String), BTreeMap<Class, Counts>>>,
}

impl Tally {
    /// Counts judged utterances.
    pub fn of(judged: &[Judged]) -> Tally {
        let mut tally = Tally::default();
        for one in judged {
            tally.total.entry(one.class).or_default().add(one.verdict);
            for (dimension, _) in Dimension::ALL {
                let groups = tally.groups.entry(dimension).or_default();
                let group = groups.entry(dimension.group(one)).or_default();
                group.entry(one.class).or_default().add(one.verdict);
            }
        }
        tally
    }

    /// The groups of a dimension with their counts, in order.
    pub fn groups(&self, dimension: Dimension) -> impl Iterator<Item = (&str, &BTreeMap<Class, Counts>)> {
        let groups = self.groups.get(&dimension).into_iter().flatten();
        groups.map(|((.., label), counts)| (label.as_str(), counts))
    }
}
