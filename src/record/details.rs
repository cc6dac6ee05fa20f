//! What a therapist may write about a client and about a visit. All of it is optional.

use serde::{Deserialize, Serialize};

/// Years in which somebody who is examined may have been born.
pub const YEARS: std::ops::RangeInclusive<i16> = 1880..=2100;

/// About a client. The serialised form stands in the acts and in JSON.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct ClientDetails {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Year of birth. With the sex it chooses which norms are shown, and nothing else.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub born: Option<i16>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sex: Option<Sex>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub referrer: Option<String>,
    /// To what the client has agreed, and when.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub consent: Option<String>,
    /// The presenting complaint.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub complaint: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub goals: Option<String>,
    /// Contraindications and cautions.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cautions: Option<String>,
}

/// As FHIR's administrative gender has it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Sex {
    Female,
    Male,
    Other,
}

/// About a visit, beside what was found.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct VisitDetails {
    /// The subjective history: what the client tells.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub history: Option<String>,
    /// What the therapist concludes, in their own words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub assessment: Option<String>,
    /// The treatment given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub treatment: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub advice: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plan: Option<String>,
    /// What is to be tested again, and when.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub retest: Option<String>,
}

impl ClientDetails {
    /// The other's, where this says nothing.
    #[must_use]
    pub fn or(self, other: ClientDetails) -> ClientDetails {
        ClientDetails {
            name: self.name.or(other.name),
            born: self.born.or(other.born),
            sex: self.sex.or(other.sex),
            referrer: self.referrer.or(other.referrer),
            consent: self.consent.or(other.consent),
            complaint: self.complaint.or(other.complaint),
            goals: self.goals.or(other.goals),
            cautions: self.cautions.or(other.cautions),
        }
    }
}
