//! One side of what was measured, and the two against each other.

use serde::Serialize;

use super::change::{Change, Was};
use crate::finding::Side;
use crate::grammar::facts::MeasurementError;

/// One measurement.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Trial {
    /// The finding's number in the record.
    pub finding: i64,
    /// When it was confirmed: UTC, RFC 3339.
    pub at: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub degrees: Option<i32>,
    /// The grade of manual muscle testing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strength: Option<String>,
    /// 0 to 10.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pain_score: Option<u8>,
}

/// One side at a visit. Where it was measured several times the last is used: it is what the visit ended with.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Measured {
    #[serde(flatten)]
    pub used: Trial,
    /// All that were measured at this visit, in order, if more than one.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub trials: Vec<Trial>,
    /// From the first of them to the last: before and after treatment, if it was tested again.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub within_visit: Option<Change>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub since_last: Option<Change>,
    /// Absent where the first visit is the last before this one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub since_first: Option<Change>,
    /// Degrees, of the same movement and side at the same visit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub passive_minus_active: Option<i32>,
}

/// What was measured of one side; nothing if nothing was. `earlier`: oldest first.
pub fn measured<'a>(
    trials: &[Trial],
    earlier: impl Iterator<Item = (&'a Was, &'a Vec<Trial>)>,
    active: Option<i32>,
    error: Option<&MeasurementError>,
) -> Option<Measured> {
    let used = trials.last()?;
    let earlier: Vec<(&Was, &Trial)> = earlier
        .filter_map(|(was, trials)| Some((was, trials.last()?)))
        .collect();
    let change = |(was, before): &(&Was, &Trial)| Change::of(Some((*was).clone()), before, used, error);
    Some(Measured {
        used: used.clone(),
        trials: trials.iter().filter(|_| trials.len() > 1).cloned().collect(),
        within_visit: trials
            .first()
            .filter(|_| trials.len() > 1)
            .and_then(|first| Change::of(None, first, used, error)),
        since_last: earlier.last().and_then(change),
        since_first: earlier.first().filter(|_| earlier.len() > 1).and_then(change),
        passive_minus_active: used.degrees.zip(active).map(|(passive, active)| passive - active),
    })
}

/// Left against right.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Difference {
    /// Left minus right.
    pub degrees: i32,
    /// The side that reaches less far.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub less: Option<Side>,
    /// How much less, in per cent of the other; absent where zero lies between or a range is so small that a per cent would mislead.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub percent: Option<f64>,
    /// Limb symmetry index: the lesser side in per cent of the other. Which side is the injured one is not known here.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub symmetry_index: Option<f64>,
}

/// Below so many degrees a per cent misleads: an error of two degrees would be more than a tenth (reasoning, no source).
const LEAST: i32 = 20;

impl Difference {
    /// Of two sides that have degrees.
    pub fn of(left: &Measured, right: &Measured) -> Option<Difference> {
        let (left, right) = (left.used.degrees?, right.used.degrees?);
        let (less, more) = (left.min(right), left.max(right));
        let index = (less > 0 && more >= LEAST).then(|| symmetry_index(f64::from(less), f64::from(more)));
        Some(Difference {
            degrees: left - right,
            less: match left.cmp(&right) {
                std::cmp::Ordering::Less => Some(Side::Left),
                std::cmp::Ordering::Equal => None,
                std::cmp::Ordering::Greater => Some(Side::Right),
            },
            percent: index.map(|index| tenths(100.0 - index)),
            symmetry_index: index.map(tenths),
        })
    }
}

/// Limb symmetry index in per cent: one side of the other (Jordan & Bishop 2024, Strength Cond J 46:406-414, compare the injured with the
/// other limb; that it is a quotient is common practice).
pub fn symmetry_index(one: f64, other: f64) -> f64 {
    100.0 * one / other
}

fn tenths(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn side(degrees: i32) -> Measured {
        let trial = Trial {
            finding: 1,
            at: String::new(),
            degrees: Some(degrees),
            strength: None,
            pain_score: None,
        };
        measured(&[trial], std::iter::empty(), None, None).unwrap()
    }

    /// Arithmetic: 142 N of 160 N are 88.75 %, a deficit of 11.25 %.
    #[test]
    fn symmetry_index_of_a_worked_example() {
        assert!((symmetry_index(142.0, 160.0) - 88.75).abs() < 1e-9);
        assert!((100.0 - symmetry_index(142.0, 160.0) - 11.25).abs() < 1e-9);
    }

    #[test]
    fn a_per_cent_is_given_only_where_it_does_not_mislead() {
        for (left, right, degrees, less, index) in [
            (20, 40, -20, Some(Side::Left), Some(50.0)),
            (40, 20, 20, Some(Side::Right), Some(50.0)),
            (110, 110, 0, None, Some(100.0)),
            (5, 10, -5, Some(Side::Left), None),
            (-5, 30, -35, Some(Side::Left), None),
            (0, 30, -30, Some(Side::Left), None),
        ] {
            let difference = Difference::of(&side(left), &side(right)).unwrap();
            assert_eq!(
                (difference.degrees, difference.less),
                (degrees, less),
                "{left} {right}"
            );
            assert_eq!(difference.symmetry_index, index, "{left} {right}");
        }
    }
}
