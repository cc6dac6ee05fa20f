//! The muscles and tests of a joint, one wording for each.

use std::collections::HashSet;

use super::super::file::{MuscleEntry, TestEntry, Wording};
use super::file::Own;
use super::values::sentences;

/// What is tested by name.
#[derive(Default)]
pub(super) struct Tested {
    pub muscles: Vec<MuscleEntry>,
    pub tests: Vec<TestEntry>,
}

impl Tested {
    /// One wording for each of a joint's muscles or tests, each wording once.
    pub fn of(&self, joint: &str, own: Option<Own>) -> Vec<String> {
        let first = |said: &[Wording]| said.iter().flat_map(sentences).next();
        let mut words: Vec<String> = match own {
            Some(Own::Muscles) => {
                let of_joint = self.muscles.iter().filter(|muscle| muscle.joint == joint);
                of_joint.filter_map(|muscle| first(&muscle.said)).collect()
            }
            Some(Own::Tests) => {
                let of_joint = self
                    .tests
                    .iter()
                    .filter(|test| test.joints.iter().any(|j| j == joint));
                of_joint
                    .filter_map(|test| first(&test.said).or_else(|| first(&test.said_whole)))
                    .collect()
            }
            _ => Vec::new(),
        };
        let mut met = HashSet::new();
        words.retain(|word| met.insert(word.clone()));
        words
    }
}
