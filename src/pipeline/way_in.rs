//! How dictation is told from everything else that is said in the room.

use serde::{Deserialize, Serialize};

/// What lets dictation in. Control words and the answer to what the program asks are always heard.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WayIn {
    /// Nothing is needed: the grammar tells.
    #[default]
    Open,
    /// The therapist's cue before it.
    Cue,
    /// A key that is held while it is said.
    KeyHeld,
    /// A key that is tapped before it.
    KeyTapped,
}

impl WayIn {
    /// A key is needed.
    pub fn needs_key(self) -> bool {
        matches!(self, WayIn::KeyHeld | WayIn::KeyTapped)
    }
}
