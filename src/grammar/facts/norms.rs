//! What studies measured in people of an age and sex.

use serde::{Deserialize, Serialize};

use super::Facts;
use crate::finding::{Finding, Mode};
use crate::record::{ClientDetails, Sex};

pub(super) const FILE: &str = "facts/norms.toml";

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct File {
    pub norm: Vec<Norm>,
}

/// One value of one study. The serialised form is part of what `couchside compare --json` prints.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Norm {
    #[serde(skip_serializing)]
    pub joint: String,
    #[serde(skip_serializing)]
    pub movement: String,
    /// Absent: the source does not say.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mode: Option<Mode>,
    /// Absent: of both.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sex: Option<Sex>,
    /// Absent: of any, or not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub age: Option<Ages>,
    /// Degrees.
    pub mean: f64,
    /// It is a median.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub median: bool,
    /// What the source gives beside it, in its words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spread: Option<String>,
    /// People who were measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub n: Option<u32>,
    pub source: String,
    pub status: String,
}

/// Years, both included; open where nothing is said.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Ages {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<f64>,
}

impl Ages {
    fn hold(self, years: i16) -> bool {
        let years = f64::from(years);
        // Whoever is 44 in a study up to 44 is so until the next birthday.
        self.from.is_none_or(|from| years >= from) && self.to.is_none_or(|to| years < to + 1.0)
    }
}

impl Facts {
    /// What studies measured of the movement of a finding, in its mode, in people of the client's sex and of the age that the client
    /// reached in `year`. Nothing if neither is known.
    pub fn norms_of(&self, finding: &Finding, client: &ClientDetails, year: i16) -> Vec<&Norm> {
        let age = client.born.map(|born| year - born);
        let fits = |norm: &&Norm| {
            finding.joint.as_ref() == Some(&norm.joint)
                && finding.movement.as_ref() == Some(&norm.movement)
                && norm.mode.is_none_or(|mode| Some(mode) == finding.mode)
                && norm.sex.is_none_or(|sex| Some(sex) == client.sex)
                && norm
                    .age
                    .is_none_or(|ages| age.is_some_and(|years| ages.hold(years)))
        };
        match age.is_some() || client.sex.is_some() {
            true => self.norms.iter().filter(fits).collect(),
            false => Vec::new(),
        }
    }
}
