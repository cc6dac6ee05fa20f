//! Acts: each thing that is done to the record, as it is written down.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{ClientDetails, VisitDetails};

use crate::finding::Finding;

/// An act as it stands in the record.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Act {
    /// 1, 2, 3 … without a gap.
    pub id: i64,
    /// UTC, RFC 3339.
    pub at: String,
    /// A name or initials.
    pub who: Option<String>,
    /// In words.
    pub why: Option<String>,
    pub deed: Deed,
}

/// What was done. The serialised form is kept for ever: fields may be added, never renamed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "what", content = "body")]
pub(super) enum Deed {
    #[serde(rename = "record made")]
    RecordMade { program: String },
    #[serde(rename = "client added")]
    ClientAdded { client: i64, code: String },
    #[serde(rename = "client described")]
    ClientDescribed { client: i64, details: ClientDetails },
    /// All that was found and written under the one code is the other's; both codes name the same client.
    #[serde(rename = "clients merged")]
    ClientsMerged { from: i64, into: i64 },
    /// What these acts said is erased. `given`: the highest number of each table that was given before.
    #[serde(rename = "client removed")]
    ClientRemoved {
        client: i64,
        acts: Vec<i64>,
        given: BTreeMap<String, i64>,
    },
    #[serde(rename = "visit described")]
    VisitDescribed { visit: i64, details: VisitDetails },
    #[serde(rename = "visit opened")]
    VisitOpened { visit: i64, client: i64, date: String },
    #[serde(rename = "proposed")]
    Proposed {
        proposal: i64,
        visit: i64,
        finding: Finding,
        heard: String,
        model: String,
        grammar: String,
    },
    #[serde(rename = "confirmed")]
    Confirmed {
        id: i64,
        proposal: i64,
        visit: i64,
        finding: Finding,
    },
    #[serde(rename = "disregarded")]
    Disregarded { proposal: i64 },
    #[serde(rename = "corrected")]
    Corrected {
        target: Target,
        finding: Finding,
        heard: String,
    },
    #[serde(rename = "withdrawn")]
    Withdrawn { id: i64 },
    #[serde(rename = "not understood")]
    NotUnderstood {
        unclear: i64,
        visit: i64,
        heard: String,
        why: String,
        /// For the review: it was asked for again, in vain. Before this was told apart, everything was for the review.
        #[serde(default = "yes")]
        aside: bool,
    },
    #[serde(rename = "parked")]
    Parked { proposal: i64 },
    #[serde(rename = "sound allowed")]
    SoundAllowed { visit: i64, allowed: bool },
    /// Of a proposal or of something unclear. The sound itself is kept beside the acts, so that it can be erased.
    #[serde(rename = "sound kept")]
    SoundKept {
        clip: i64,
        visit: i64,
        proposal: Option<i64>,
        unclear: Option<i64>,
        sha256: String,
    },
    #[serde(rename = "sound erased")]
    SoundErased { clip: i64 },
    /// Something of a client was given to other programs: of one visit or of all, in this form.
    #[serde(rename = "exported")]
    Exported {
        client: i64,
        visit: Option<i64>,
        form: String,
        with_name: bool,
    },
    /// A caution, by its name in the vocabulary, was shown because of a finding.
    #[serde(rename = "caution shown")]
    CautionShown {
        visit: i64,
        finding: i64,
        caution: String,
    },
    #[serde(rename = "visit closed")]
    VisitClosed { visit: i64 },
}

/// What a correction gives a new value.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Target {
    /// A proposal that still waits.
    Proposal { proposal: i64 },
    /// A recorded finding; its new value was proposed and confirmed like any other.
    Finding { id: i64, proposal: i64 },
}

impl Deed {
    /// What was done and its body as canonical JSON: compact, the fields in the order of the type.
    pub(super) fn to_words(&self) -> serde_json::Result<(String, String)> {
        let whole = serde_json::to_value(self)?;
        let what = whole["what"].as_str().unwrap_or_default().to_owned();
        Ok((what, serde_json::to_string(&whole["body"])?))
    }

    /// The reverse of [`Deed::to_words`].
    pub(super) fn from_words(what: &str, body: &str) -> serde_json::Result<Deed> {
        let body: serde_json::Value = serde_json::from_str(body)?;
        serde_json::from_value(serde_json::json!({ "what": what, "body": body }))
    }
}

fn yes() -> bool {
    true
}
