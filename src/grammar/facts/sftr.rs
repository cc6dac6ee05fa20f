//! Pairs of movements that neutral-zero (SFTR) notation writes together.

use serde::Deserialize;

pub(super) const FILE: &str = "facts/sftr.toml";

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct File {
    #[expect(dead_code, reason = "for whoever reads the file; that it is there is checked")]
    source: String,
    #[expect(dead_code, reason = "for whoever reads the file; that it is there is checked")]
    status: String,
    pub pair: Vec<Pair>,
}

/// Two movements of a joint in one plane.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pair {
    pub joint: String,
    /// S, F, T or R.
    pub plane: char,
    /// Away from the body: its number stands first.
    pub first: String,
    pub last: String,
}

impl Pair {
    /// One movement to the left and to the right.
    pub fn is_of_sides(&self) -> bool {
        self.first == self.last
    }
}
