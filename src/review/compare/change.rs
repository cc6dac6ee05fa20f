//! A measurement against an earlier one of the same.

use serde::Serialize;

use super::sides::Trial;
use crate::grammar::facts::MeasurementError;
use crate::record::Visit;

/// The visit that it is set against.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Was {
    /// Its number in the record.
    pub visit: i64,
    /// Its local date, ISO 8601.
    pub date: String,
}

impl Was {
    /// At this visit.
    pub fn at(visit: &Visit) -> Was {
        Was {
            visit: visit.number,
            date: visit.date.clone(),
        }
    }
}

/// What has changed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Change {
    /// Absent where both are of the same visit.
    #[serde(flatten)]
    pub was: Option<Was>,
    /// Degrees: before, and by how much it is more now.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub degrees: Option<Step>,
    /// Points of pain, the same.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pain_score: Option<Step>,
    /// The grade before, where there are two; grades are no numbers that could be subtracted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strength_before: Option<String>,
    /// Whether the change in degrees is larger than the measurement error; absent: not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub beyond_measurement_error: Option<bool>,
}

/// From one number to another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Step {
    pub before: i32,
    /// Now minus before.
    pub change: i32,
}

impl Step {
    fn of(before: Option<i32>, now: Option<i32>) -> Option<Step> {
        before.zip(now).map(|(before, now)| Step {
            before,
            change: now - before,
        })
    }
}

impl Change {
    /// From one to the other; nothing if they have nothing in common.
    pub fn of(
        was: Option<Was>,
        before: &Trial,
        now: &Trial,
        error: Option<&MeasurementError>,
    ) -> Option<Change> {
        let degrees = Step::of(before.degrees, now.degrees);
        let change = Change {
            was,
            degrees,
            pain_score: Step::of(before.pain_score.map(i32::from), now.pain_score.map(i32::from)),
            strength_before: before.strength.clone().filter(|_| now.strength.is_some()),
            beyond_measurement_error: degrees
                .zip(error)
                .map(|(step, error)| error.is_beyond(step.change)),
        };
        (degrees.is_some() || change.pain_score.is_some() || change.strength_before.is_some())
            .then_some(change)
    }
}
