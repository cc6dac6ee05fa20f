//! The shape of `guide.toml`.

use serde::Deserialize;

use super::super::file::Text;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct GuideFile {
    /// How a finding is put together.
    pub intro: String,
    /// Findings of the joint, one of each frame: `{movement}`, `{muscle}` or `{test}` is the first that it has.
    pub examples: Vec<Text>,
    /// What stands before the names of all joints, on the page without a joint.
    pub joints: String,
    /// Before what alone has a left and a right, where not everything at the joint has.
    pub sided_only: String,
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
    pub say: Vec<Text>,
    /// Places of the finding, each of whose values is named.
    #[serde(default)]
    pub slots: Vec<Text>,
    /// A finding around each of these wordings, which is `{}`: on a joint's page stand those with which it is understood
    /// for something at the joint, and nothing is missing or in doubt.
    #[serde(default)]
    pub tried: Option<Text>,
    /// It is about left and right.
    #[serde(default)]
    pub sided: bool,
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
    /// What only its tests have as a result.
    Results,
    Tricks,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Each {
    pub say: Text,
    pub does: String,
}
