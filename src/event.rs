//! What happens while listening, one event after another: for the screen, and as JSON lines for other programs.

use serde::Serialize;

use crate::finding::Finding;
use crate::grammar::facts::Urgency;

/// One event. The JSON has its name in `event`.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "event", rename_all = "lowercase")]
pub enum Event {
    /// Words were heard that are dictation or a control word. Times are seconds from the beginning of the sound.
    Heard {
        heard: String,
        start_s: f64,
        end_s: f64,
        confidence: f32,
        decode_ms: u64,
    },
    /// The cue was said, or the key was tapped: what is said next is dictation.
    Opened,
    /// Nothing came in time, or the key was tapped again.
    Closed,
    /// A finding waits for confirmation; `id` is the proposal's number.
    Proposed { id: i64, finding: Finding },
    /// Something must be said before a finding can be confirmed.
    Asked { question: String, id: i64 },
    /// The program says this.
    Said { text: String },
    /// A confirmed finding is on the disk; `id` is the finding's number.
    Recorded { id: i64, finding: Finding, at: String },
    /// A finding that was recorded, by its number, usually calls for something: it blocks nothing.
    Caution {
        id: i64,
        urgency: Urgency,
        title: String,
        /// What is said.
        text: String,
        source: String,
    },
    /// A recorded finding was taken back.
    Withdrawn { id: i64, finding: Finding, at: String },
    /// A proposal was dropped.
    Disregarded { id: i64, finding: Finding },
    /// A proposal was put aside for the review: what was asked about it could not be answered.
    Parked { id: i64, finding: Finding },
    /// A waiting proposal has a new value.
    Corrected { id: i64, finding: Finding },
    /// Something about the room or the machine that the therapist must know.
    Notice { text: String },
    /// Talk that is not dictation: nothing is done with it.
    Aside { heard: String, start_s: f64, end_s: f64 },
    /// It sounded like dictation but was not understood.
    Unclear {
        heard: String,
        start_s: f64,
        end_s: f64,
        why: String,
    },
}
