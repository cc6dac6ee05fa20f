//! The shape of `guide.toml`.

use serde::Deserialize;

use super::super::file::Wording;

/// The shape of the file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct GuideFile {
    /// How a finding is put together.
    pub intro: String,
    /// A finding of the joint, with its name and its first movement put in.
    pub example: String,
    /// What stands before the names of all joints, on the page without a joint.
    pub joints: String,
    /// How a file of one's own words is made.
    pub own_words: String,
    pub block: Vec<Block>,
}

/// A block of the page.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Block {
    pub heading: String,
    /// Wordings as they are said.
    #[serde(default)]
    pub say: Vec<Wording>,
    /// Places of the finding, each of whose values is named.
    #[serde(default)]
    pub slots: Vec<Wording>,
    /// What the joint has of its own.
    #[serde(default)]
    pub own: Option<Own>,
    /// Wordings with what each does.
    #[serde(default)]
    pub each: Vec<Each>,
}

/// What a joint has of its own.
#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Own {
    Movements,
    Muscles,
    Tests,
    Tricks,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Each {
    pub say: Wording,
    pub does: String,
}
