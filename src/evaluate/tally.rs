//! Verdicts counted: for all utterances, and for each voice, noise, speed and kind.

use std::collections::BTreeMap;

use serde::Serialize;

use super::case::Conditions;
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
    /// Per cent are kept to four decimals.
    pub fn new(count: usize, of: usize) -> Share {
        let percent = |share: f64| (share * 1_000_000.0).round() / 10_000.0;
        Share {
            count,
            of,
            percent: (of > 0).then(|| percent(count as f64 / of as f64)),
            interval: wilson(count, of).map(|(low, high)| [percent(low), percent(high)]),
        }
    }
}

/// What a group is sorted by, and its name.
type Group = (String, i64, String);

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
    fn group(self, judged: &Judged) -> Group {
        let conditions = &judged.conditions;
        let stated = |value: &Option<String>| value.clone().unwrap_or_else(|| NOT_STATED.into());
        match self {
            Dimension::Voice => (String::new(), 0, stated(&conditions.voice)),
            Dimension::Kind => (String::new(), 0, stated(&conditions.kind)),
            Dimension::Speed => speed(conditions),
            Dimension::Noise => noise(conditions),
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

/// The group of a speed. Speeds that are numbers are rounded to tenths, so that speeds drawn at random make few groups.
fn speed(conditions: &Conditions) -> Group {
    let Some(said) = &conditions.speed else {
        return (String::new(), i64::MAX, NOT_STATED.into());
    };
    match said.trim().parse::<f64>() {
        Ok(speed) => {
            let tenths = (speed * 10.0).round();
            (String::new(), tenths as i64, format!("{:.1}", tenths / 10.0))
        }
        Err(_) => (said.clone(), 0, said.clone()),
    }
}

/// The group of a noise: what it is, then how far it lies under the speech, the faintest first. The level may be stated
/// by itself, in the words for the noise, or in both.
fn noise(conditions: &Conditions) -> Group {
    let said = conditions.noise.as_deref().unwrap_or_default();
    let (what, in_words) = said.split_once(',').unwrap_or((said, ""));
    let level = conditions
        .snr_db
        .as_deref()
        .unwrap_or(in_words.trim().trim_end_matches("dB").trim());
    let order = level
        .parse::<f64>()
        .map_or(i64::MIN, |level| -(level * 100.0).round() as i64);
    let label = match (said.is_empty(), &conditions.snr_db) {
        (true, None) => NOT_STATED.into(),
        (true, Some(level)) => format!("{level} dB"),
        (false, Some(level)) if !said.ends_with("dB") => format!("{said}, {level} dB"),
        (false, _) => said.into(),
    };
    (what.into(), order, label)
}

/// What is shown for a condition that a case does not state.
const NOT_STATED: &str = "not stated";

/// All counts of a run.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    pub total: BTreeMap<Class, Counts>,
    groups: BTreeMap<Dimension, BTreeMap<Group, BTreeMap<Class, Counts>>>,
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
