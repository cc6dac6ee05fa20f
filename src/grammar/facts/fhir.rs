//! Names and codes of exported FHIR documents.

use serde::Deserialize;

use crate::finding::{Finding, Mode, Side};

pub(super) const FILE: &str = "facts/fhir.toml";

/// The program's own code systems, and the LOINC codes of movements.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fhir {
    /// What the addresses of the program's own code systems begin with.
    pub base: String,
    loinc: Vec<Loinc>,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Loinc {
    joint: String,
    movement: String,
    side: Option<Side>,
    active: Option<String>,
    passive: Option<String>,
    #[expect(dead_code, reason = "for whoever reads the file; that it is there is checked")]
    source: String,
    #[expect(dead_code, reason = "for whoever reads the file; that it is there is checked")]
    status: String,
}

impl Fhir {
    /// The joints and movements that are named.
    pub(super) fn movements(&self) -> impl Iterator<Item = (&str, &str)> {
        self.loinc
            .iter()
            .map(|loinc| (loinc.joint.as_str(), loinc.movement.as_str()))
    }

    /// The LOINC code of the range that a finding measures on a side; `None` where none has been seen.
    pub fn loinc(&self, finding: &Finding, side: Option<Side>) -> Option<&str> {
        let of_movement = |loinc: &&Loinc| {
            finding.joint.as_ref() == Some(&loinc.joint)
                && finding.movement.as_ref() == Some(&loinc.movement)
                && (loinc.side.is_none() || loinc.side == side)
        };
        self.loinc
            .iter()
            .filter(of_movement)
            .find_map(|loinc| match finding.mode? {
                Mode::Active => loinc.active.as_deref(),
                Mode::Passive => loinc.passive.as_deref(),
                Mode::Resisted => None,
            })
    }
}
