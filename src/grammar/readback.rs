//! The wordings of `readback.toml`: what the program says.

use std::collections::BTreeMap;

use serde::Deserialize;

/// The parts of a finding that `order` puts in order.
pub const PARTS: [&str; 19] = [
    "side",
    "joint",
    "movement",
    "muscle",
    "test",
    "structure",
    "level",
    "mode",
    "result",
    "laxity",
    "degrees",
    "girth_cm",
    "range",
    "strength",
    "power",
    "end_feel",
    "pain",
    "signs",
    "text",
];

/// How each part of a finding is said; `{}` stands for the value.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FindingWords {
    pub degrees: String,
    pub degrees_short: String,
    pub degrees_past: String,
    pub degrees_from: String,
    pub range: String,
    pub strength: String,
    pub plus: String,
    pub minus: String,
    pub below_zero: String,
    pub power: String,
    pub end_feel: String,
    pub level: String,
    pub result: String,
    pub laxity: String,
    pub girth_cm: String,
    pub pain: String,
    pub no_pain: String,
    pub pain_score: String,
    pub pain_when: String,
    pub pain_arc: String,
    pub text: String,
}

/// What the program answers.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Answers {
    pub recorded: String,
    /// A caution: `{says}` what was recorded and what that may be, `{action}` what is usually done.
    pub caution: String,
    /// What a number was reckoned from.
    pub reckoned: String,
    pub disregarded: String,
    /// Whether to take back what was recorded last.
    pub take_back: String,
    pub taken_back: String,
    pub kept: String,
    pub corrected: String,
    pub unclear: String,
    /// What could not be understood twice was put aside.
    pub parked: String,
    /// Whether sound is kept in this visit.
    pub sound_kept: String,
    pub no_sound_kept: String,
    /// Why something that was said while the program spoke is unclear.
    pub spoken_over: String,
    pub nothing_pending: String,
    pub standing_by: String,
    pub resumed: String,
    pub hold: String,
    pub remains: String,
    /// Movements of which nothing was examined.
    pub not_begun: String,
    pub nothing_remains: String,
    pub waiting: String,
}

/// What the program tells of the room and the machine.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Notices {
    pub microphone_gone: String,
    pub microphone_back: String,
    /// Hardly anything is heard.
    pub faint: String,
    /// It is so loud that it is cut off.
    pub cut_off: String,
    pub sound_lost: String,
    /// The record can't be written.
    pub not_written: String,
    /// The program's voice can't be taken out of what the microphone hears.
    pub key_gone: String,
    pub hears_itself: String,
}

/// The shape of the file.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReadbackFile {
    pub order: Vec<String>,
    pub finding: FindingWords,
    pub ask: BTreeMap<String, String>,
    pub answer: Answers,
    pub notice: Notices,
}

/// Everything that the program can say.
#[derive(Clone, Debug)]
pub struct Readback {
    pub order: Vec<String>,
    pub finding: FindingWords,
    /// The question for each missing field, and for a doubt.
    pub ask: BTreeMap<String, String>,
    pub answer: Answers,
    pub notice: Notices,
    /// The longer wording of words that sound alike.
    pub told_apart: BTreeMap<String, String>,
}

impl ReadbackFile {
    /// Joins the file with the wordings that tell sound-alike words apart.
    pub fn with(self, told_apart: BTreeMap<String, String>) -> Readback {
        Readback {
            order: self.order,
            finding: self.finding,
            ask: self.ask,
            answer: self.answer,
            notice: self.notice,
            told_apart,
        }
    }
}
