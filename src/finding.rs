//! The one vocabulary that every stage shares: what a finding is.
//!
//! A field that was not said is absent, never guessed and never null. The serialised form is the project's
//! published JSON; `tests/finding.schema.json` is its exact shape.

use serde::{Deserialize, Serialize};

/// What sort of finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    Movement,
    Muscle,
    Test,
    Palpation,
    Girth,
    Pain,
    Note,
}

/// A value as the published JSON writes it, of those that are written as a word.
pub fn word_of(value: impl Serialize) -> String {
    serde_json::to_value(value)
        .ok()
        .and_then(|value| value.as_str().map(str::to_owned))
        .unwrap_or_default()
}

/// Which side of the body.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    Left,
    Right,
    Both,
}

impl Side {
    /// The other side; `Both` has none.
    pub fn opposite(self) -> Option<Side> {
        match self {
            Side::Left => Some(Side::Right),
            Side::Right => Some(Side::Left),
            Side::Both => None,
        }
    }
}

/// Who does the moving: the client, the therapist, or the client against the therapist's resistance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Mode {
    Active,
    Passive,
    Resisted,
}

/// Whole degrees from the neutral (zero) starting position, in the direction of the named movement.
/// Negative: the movement stops short of neutral.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Degrees {
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub from: Option<i32>,
    pub to: i32,
}

/// The part of the range, in degrees, over which pain is felt.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Arc {
    pub from: i32,
    pub to: i32,
}

/// Pain with this finding. `score` is 0 to 10 on the numeric rating scale.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Pain {
    pub felt: bool,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub score: Option<u8>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub when: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub arc: Option<Arc>,
}

/// A field whose rival was too close to call. It is asked, never assumed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Doubt {
    pub field: String,
    pub said: String,
    pub or: Vec<String>,
}

/// One thing found. See the module's documentation.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Finding {
    pub kind: Kind,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub side: Option<Side>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub joint: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub movement: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub mode: Option<Mode>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub muscle: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub test: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub structure: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub degrees: Option<Degrees>,
    /// The range in words.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub range: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub pain: Option<Pain>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub end_feel: Option<String>,
    /// Manual muscle testing grade, `0` to `5` with plus or minus.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub strength: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub power: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub result: Option<String>,
    /// Ligament laxity grade, 0 to 3.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub laxity: Option<u8>,
    /// Centimetres around a part.
    #[serde(
        skip_serializing_if = "Option::is_none",
        serialize_with = "as_spoken",
        default
    )]
    pub girth_cm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub level: Option<String>,
    /// Trick movements and other signs, as the vocabulary names them.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub signs: Vec<String>,
    /// The words as dictated; kind `note`.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub text: Option<String>,
    /// What must still be said before the finding can be confirmed.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub missing: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub doubts: Vec<Doubt>,
}

/// 51, not 51.0.
fn as_spoken<S: serde::Serializer>(number: &Option<f64>, to: S) -> Result<S::Ok, S::Error> {
    match number {
        Some(number) if number.fract() == 0.0 => to.serialize_i64(*number as i64),
        Some(number) => to.serialize_f64(*number),
        None => to.serialize_none(),
    }
}

impl Finding {
    /// A finding of this kind with nothing said yet.
    pub fn new(kind: Kind) -> Finding {
        Finding {
            kind,
            side: None,
            joint: None,
            movement: None,
            mode: None,
            muscle: None,
            test: None,
            structure: None,
            degrees: None,
            range: None,
            pain: None,
            end_feel: None,
            strength: None,
            power: None,
            result: None,
            laxity: None,
            girth_cm: None,
            level: None,
            signs: Vec::new(),
            text: None,
            missing: Vec::new(),
            doubts: Vec::new(),
        }
    }

    /// Whether the other one says everything that this one does.
    pub fn is_part_of(&self, other: &Finding) -> bool {
        let fields = |finding: &Finding| serde_json::to_value(finding).unwrap_or_default();
        let (this, other) = (fields(self), fields(other));
        let said = this.as_object().into_iter().flatten();
        // What is still to be asked is not said.
        said.filter(|(field, _)| !matches!(field.as_str(), "missing" | "doubts"))
            .all(|(field, value)| other.get(field) == Some(value))
    }

    /// Something was found, not only named.
    pub fn has_result(&self) -> bool {
        self.degrees.is_some()
            || self.range.is_some()
            || self.pain.is_some()
            || self.end_feel.is_some()
            || self.strength.is_some()
            || self.power.is_some()
            || self.result.is_some()
            || self.laxity.is_some()
            || self.girth_cm.is_some()
            || !self.signs.is_empty()
            || self.text.is_some()
    }

    /// Nothing is missing and nothing is in doubt: it may be confirmed.
    pub fn is_settled(&self) -> bool {
        self.missing.is_empty() && self.doubts.is_empty()
    }
}

/// A control word: what the therapist tells the program to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Control {
    /// Everything that waits and was said back.
    Confirm,
    /// Only what was dictated last.
    #[serde(rename = "confirm last")]
    ConfirmLast,
    Disregard,
    Correction,
    #[serde(rename = "say again")]
    SayAgain,
    #[serde(rename = "read back")]
    ReadBack,
    #[serde(rename = "stand by")]
    StandBy,
    Resume,
    #[serde(rename = "what remains")]
    WhatRemains,
    Hold,
}

/// How one utterance ended. Every utterance ends in exactly one of these.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "outcome", rename_all = "lowercase")]
pub enum Outcome {
    /// One or more findings.
    Finding { findings: Vec<Finding> },
    /// A control word; for `correction` the corrected finding, whole.
    Control {
        control: Control,
        #[serde(skip_serializing_if = "Vec::is_empty", default)]
        findings: Vec<Finding>,
    },
    /// Talk that is not dictation.
    Aside,
    /// Sounded like dictation but could not be understood well enough. `why` is for people and not part of
    /// the published JSON.
    Unclear {
        #[serde(skip)]
        why: String,
    },
}
