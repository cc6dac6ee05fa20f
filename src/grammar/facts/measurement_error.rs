//! How far a measurement may differ from the one before although nothing has changed.

use serde::{Deserialize, Serialize};

use crate::finding::{Finding, Mode};

use super::Facts;

pub(super) const FILE: &str = "facts/measurement-error.toml";

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct File {
    pub error: Vec<MeasurementError>,
    pub pain: PainChange,
}

/// Of one movement, as one study measured it. The serialised form is part of what `couchside compare --json` prints.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct MeasurementError {
    #[serde(skip_serializing)]
    pub joint: String,
    #[serde(skip_serializing)]
    pub movement: String,
    /// Any if empty.
    #[serde(default, skip_serializing)]
    pub modes: Vec<Mode>,
    #[serde(default, skip_serializing)]
    sem: Option<f64>,
    #[serde(default, skip_serializing)]
    change: Option<f64>,
    /// Who measured again.
    pub by: String,
    pub tool: String,
    pub population: String,
    pub source: String,
    pub status: String,
}

/// How much a score of pain changes before people call it a change. The serialised form is part of what `couchside compare --json` prints.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct PainChange {
    /// Points of 0 to 10.
    pub change: u8,
    pub population: String,
    pub source: String,
    pub status: String,
}

/// 1.96 × √2: two measurements each have an error, and 95 of 100 lie within 1.96 standard deviations.
const TWO_MEASUREMENTS: f64 = 1.96 * std::f64::consts::SQRT_2;

/// Minimal detectable change at 95 %, of the standard error of measurement and in its unit (Weir 2005, J Strength Cond Res 19:231-240).
pub fn mdc95(sem: f64) -> f64 {
    TWO_MEASUREMENTS * sem
}

/// The reverse of [`mdc95`]; also of half the width of limits of agreement (Bland & Altman 1986), where there is no bias.
pub fn sem_of_change(change: f64) -> f64 {
    change / TWO_MEASUREMENTS
}

impl MeasurementError {
    /// Standard error of measurement, in degrees.
    pub fn sem(&self) -> f64 {
        self.sem.unwrap_or_else(|| sem_of_change(self.mdc95()))
    }

    /// Minimal detectable change at 95 %, in degrees.
    pub fn mdc95(&self) -> f64 {
        self.change.unwrap_or_else(|| mdc95(self.sem.unwrap_or_default()))
    }

    /// Whether a difference, in degrees, is a change and not only error: it reaches the minimal detectable change.
    pub fn is_beyond(&self, degrees: i32) -> bool {
        f64::from(degrees.abs()) >= self.mdc95()
    }
}

impl Facts {
    /// The measurement error of what a finding measures; `None`: not known.
    pub fn error_of(&self, finding: &Finding) -> Option<&MeasurementError> {
        self.errors.iter().find(|error| {
            finding.joint.as_ref() == Some(&error.joint)
                && finding.movement.as_ref() == Some(&error.movement)
                && (error.modes.is_empty() || finding.mode.is_some_and(|mode| error.modes.contains(&mode)))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn error(change: Option<f64>, sem: Option<f64>) -> MeasurementError {
        MeasurementError {
            joint: String::new(),
            movement: String::new(),
            modes: Vec::new(),
            sem,
            change,
            by: String::new(),
            tool: String::new(),
            population: String::new(),
            source: String::new(),
            status: String::new(),
        }
    }

    /// Arithmetic: SD 8.0 and ICC 0.90 give SEM 2.5298 and MDC95 7.0123. Published: Leijendekkers et al. 2017, PLoS One 12(6):e0179887
    /// (Nm; their SEM is rounded, so within 0.2), and Int J Sports Phys Ther 2015;10:976-983 (degrees; within 0.15).
    #[test]
    fn mdc95_of_published_sem() {
        for (sem, published, within) in [
            (8.0 * 0.1_f64.sqrt(), 7.0123, 0.0001),
            (3.1, 8.6, 0.2),
            (4.4, 12.3, 0.2),
            (3.9, 10.9, 0.2),
            (4.7, 12.9, 0.2),
            (2.1, 5.9, 0.15),
            (2.2, 6.2, 0.15),
        ] {
            assert!(
                (mdc95(sem) - published).abs() <= within,
                "{sem}: {} {published}",
                mdc95(sem)
            );
            assert!((sem_of_change(mdc95(sem)) - sem).abs() < 1e-12);
        }
    }

    /// de Winter et al. 2004, BMC Musculoskelet Disord 5:18: limits of agreement ± 19.6, so that the differences have a standard
    /// deviation of 10.0 and SEM is 7.0711.
    #[test]
    fn sem_of_published_limits_of_agreement() {
        assert!((sem_of_change(19.6) - 7.0711).abs() < 0.0001);
        assert!((error(Some(19.6), None).sem() - 7.0711).abs() < 0.0001);
    }

    /// Kolber & Hanney, scaption with a goniometer, MDC95 8: 118 then 126 is a change, 118 then 124 is not.
    #[test]
    fn a_change_is_one_that_reaches_it() {
        let scaption = error(Some(8.0), None);
        assert!(scaption.is_beyond(126 - 118) && scaption.is_beyond(118 - 126));
        assert!(!scaption.is_beyond(124 - 118));
    }
}
