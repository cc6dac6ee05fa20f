//! What textbooks associate with findings.

use serde::Deserialize;

pub(super) const FILE: &str = "facts/hints.toml";

/// All of it. None of it is well proven, which is said with each.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hints {
    pub weak_evidence: Said,
    pub resisted: Vec<Resisted>,
    pub both_painful: Said,
    pub pattern: Vec<Pattern>,
    pub end_feel: Vec<EndFeel>,
}

/// A sentence and its source.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Said {
    pub says: String,
    pub source: String,
    pub status: String,
}

/// Of a resisted movement.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Resisted {
    /// Words of power, one of which was said.
    pub power: Vec<String>,
    /// Or grades of strength.
    pub grades: Vec<String>,
    pub painful: bool,
    pub says: String,
    pub source: String,
    pub status: String,
}

/// How a joint is limited as a whole: movements from the most limited to the least; those together are equally so.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pattern {
    pub joint: String,
    pub order: Vec<Vec<String>>,
    pub source: String,
    pub status: String,
}

/// The end feels that are usual for a movement.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EndFeel {
    pub joint: String,
    pub movement: String,
    pub usual: Vec<String>,
    pub source: String,
    pub status: String,
}

impl Hints {
    /// The joints and movements that are named.
    pub(super) fn movements(&self) -> impl Iterator<Item = (&str, &str)> {
        let of_patterns = self.pattern.iter().flat_map(|pattern| {
            let movements = pattern.order.iter().flatten();
            movements.map(|movement| (pattern.joint.as_str(), movement.as_str()))
        });
        let of_end_feels = self.end_feel.iter();
        of_patterns.chain(of_end_feels.map(|one| (one.joint.as_str(), one.movement.as_str())))
    }
}
