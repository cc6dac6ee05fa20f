//! What was measured at a visit, as triples.

use super::Triple;
use crate::finding::{Mode, Side, word_of};
use crate::grammar::Grammar;
use crate::grammar::facts::Pair;
use crate::record::{Kept, Visit};

/// A pair of movements that were both measured.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// Absent where the joint has no sides.
    pub side: Option<Side>,
    pub pair: Pair,
    pub mode: Option<Mode>,
    pub triple: Triple,
}

impl Written {
    /// "right hip, passive: S 15-0-120 (extension – neutral – flexion)".
    pub fn in_words(&self) -> String {
        let Pair {
            joint,
            plane,
            first,
            last,
        } = &self.pair;
        let side = self.side.map(|side| word_of(side) + " ").unwrap_or_default();
        let mode = self
            .mode
            .map(|mode| format!(", {}", word_of(mode)))
            .unwrap_or_default();
        let triple = self.triple;
        let (left, right) = match self.pair.is_of_sides() {
            true => (word_of(Side::Left) + " ", word_of(Side::Right) + " "),
            false => Default::default(),
        };
        format!("{side}{joint}{mode}: {plane} {triple} ({left}{first} – neutral – {right}{last})")
    }
}

/// All of a visit for which both movements were measured; what was measured several times counts as it was last.
pub fn written(grammar: &Grammar, visit: &Visit) -> Vec<Written> {
    let mut all = Vec::new();
    for pair in &grammar.facts.pairs {
        for mode in [None, Some(Mode::Active), Some(Mode::Passive)] {
            let last = |movement: &str, side: Option<Side>| {
                let of = |kept: &&Kept| {
                    let finding = &kept.finding;
                    finding.joint.as_ref() == Some(&pair.joint)
                        && finding.movement.as_deref() == Some(movement)
                        && finding.mode == mode
                        && (finding.side == side || side.is_some() && finding.side == Some(Side::Both))
                };
                visit.findings.iter().rfind(of)?.finding.degrees.clone()
            };
            let both = match pair.is_of_sides() {
                true => vec![(
                    None,
                    last(&pair.first, Some(Side::Left)),
                    last(&pair.last, Some(Side::Right)),
                )],
                false => [None, Some(Side::Left), Some(Side::Right)]
                    .map(|side| (side, last(&pair.first, side), last(&pair.last, side)))
                    .into(),
            };
            for (side, first, end) in both {
                // A movement from 20 to 110 begins short of neutral: so far the first direction is not reached.
                let low = match (&first, &end) {
                    (_, Some(end)) if end.from.is_some_and(|from| from > 0) => end.from,
                    (Some(first), _) => Some(-first.to),
                    _ => None,
                };
                let triple = low.zip(end).and_then(|(low, end)| Triple::new(low, end.to));
                all.extend(triple.map(|triple| Written {
                    side,
                    pair: pair.clone(),
                    mode,
                    triple,
                }));
            }
        }
    }
    all
}
