//! Left against right, now against before: what was measured at a visit beside the other side, the visit before and the first.
//!
//! Nothing is judged: a change is set beside the measurement error where a source gives one, a value beside what is tabulated.

mod at_visit;
mod change;
mod sides;
mod text;

use serde::Serialize;

use crate::finding::{Finding, Mode};
use crate::grammar::facts::{MeasurementError, Norm, PainChange};
use crate::grammar::{Grammar, Usual};
use crate::record::{Case, ClientDetails, Visit};

pub use change::{Change, Was};
pub use sides::{Difference, Measured, Trial};
pub use text::{compare_text, facts, lines, title};

use at_visit::{Examined, at_visit};

/// One movement and mode, or one muscle, as it was at a visit. The serialised form is a line of what `couchside compare --json` prints.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Compared {
    pub client: String,
    /// The visit's number in the record.
    pub visit: i64,
    /// Its local date, ISO 8601.
    pub date: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub joint: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub movement: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub muscle: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mode: Option<Mode>,
    /// How the client lay or sat, if that was said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub position: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub left: Option<Measured>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub right: Option<Measured>,
    /// Where no side was said, as for the spine.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_side: Option<Measured>,
    /// Left against right.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub difference: Option<Difference>,
    /// Absent: not known for this movement and mode.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measurement_error: Option<Error>,
    /// How much a score of pain changes before it is called a change; there where pain was scored before, too.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pain_change: Option<PainChange>,
    /// What handbooks tabulate for adults.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub usual: Option<Usual>,
    /// What studies measured in people of the client's age and sex, as far as those are written down.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub norms: Vec<Norm>,
}

/// The measurement error that changes are set beside, in degrees.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Error {
    /// Standard error of measurement.
    pub sem: f64,
    /// Minimal detectable change at 95 %.
    pub mdc95: f64,
    #[serde(flatten)]
    pub of: MeasurementError,
}

impl Error {
    fn of(error: &MeasurementError) -> Error {
        let tenths = |degrees: f64| (degrees * 10.0).round() / 10.0;
        Error {
            sem: tenths(error.sem()),
            mdc95: tenths(error.mdc95()),
            of: error.clone(),
        }
    }
}

/// Compares what was found at a visit, by its number, in the order in which it was found; without one, at the latest visit in which
/// something was found. Nothing if there is no such visit.
pub fn compare(grammar: &Grammar, client: &ClientDetails, case: &Case, visit: Option<i64>) -> Vec<Compared> {
    let Some(visit) = case.visit(visit) else {
        return Vec::new();
    };
    let before: Vec<(Was, Vec<Examined>)> = case
        .visits
        .iter()
        .take_while(|earlier| earlier.number != visit.number)
        .map(|visit| (Was::at(visit), at_visit(grammar, visit)))
        .collect();
    let examined = at_visit(grammar, visit);
    let compared = examined.iter().map(|one| {
        let error = grammar.facts.error_of(one.finding);
        let earlier: Vec<(&Was, &Examined)> = before
            .iter()
            .filter_map(|(was, examined)| Some((was, examined.iter().find(|earlier| earlier.is_same(one))?)))
            .collect();
        let active = other_mode(one, Mode::Passive, Mode::Active, &examined);
        let [left, right, no_side] = [0, 1, 2].map(|side| {
            let earlier = earlier
                .iter()
                .map(|(was, examined)| (*was, &examined.trials[side]));
            let active = active.and_then(|active| active.trials[side].last()?.degrees);
            sides::measured(&one.trials[side], earlier, active, error)
        });
        let pain_changed = [&left, &right, &no_side]
            .into_iter()
            .flatten()
            .any(|side| side.since_last.iter().any(|change| change.pain_score.is_some()));
        Compared {
            client: case.client.clone(),
            visit: visit.number,
            date: visit.date.clone(),
            joint: one.finding.joint.clone(),
            movement: one.finding.movement.clone(),
            muscle: one.finding.muscle.clone(),
            mode: one.finding.mode,
            position: one.position.map(str::to_owned),
            difference: left
                .as_ref()
                .zip(right.as_ref())
                .and_then(|(left, right)| Difference::of(left, right)),
            left,
            right,
            no_side,
            measurement_error: error.map(Error::of),
            pain_change: grammar.facts.pain_change.clone().filter(|_| pain_changed),
            usual: usual(grammar, one.finding).cloned(),
            norms: norms(grammar, client, visit, one.finding),
        }
    });
    compared.collect()
}

fn norms(grammar: &Grammar, client: &ClientDetails, visit: &Visit, finding: &Finding) -> Vec<Norm> {
    let date: Option<jiff::civil::Date> = visit.date.parse().ok();
    let year = date.map_or(0, |date| date.year());
    let norms = grammar.facts.norms_of(finding, client, year);
    norms.into_iter().cloned().collect()
}

/// The same movement in another mode, if `one` is of the mode `of`.
fn other_mode<'a, 'b>(
    one: &Examined<'_>,
    of: Mode,
    other: Mode,
    examined: &'b [Examined<'a>],
) -> Option<&'b Examined<'a>> {
    let same = |two: &&Examined<'_>| {
        two.finding.joint == one.finding.joint
            && two.finding.movement == one.finding.movement
            && two.finding.mode == Some(other)
    };
    (one.finding.mode == Some(of) && one.finding.movement.is_some())
        .then(|| examined.iter().find(same))
        .flatten()
}

/// What is tabulated for adults for the movement of a finding.
pub fn usual<'a>(grammar: &'a Grammar, finding: &Finding) -> Option<&'a Usual> {
    let (joint, movement) = (finding.joint.as_deref()?, finding.movement.as_deref()?);
    grammar.movement(joint, movement)?.usual.as_ref()
}
