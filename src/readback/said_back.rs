//! How much is dictated before it is said back and can be confirmed.

use serde::{Deserialize, Serialize};

use crate::finding::Finding;
use crate::grammar::Grammar;

/// What is said back together.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum SaidBack {
    /// Each finding by itself, at once.
    #[default]
    Finding,
    /// What was found of a movement, a muscle or a test, when another is begun.
    Movement,
    /// What was found of a joint, when another is begun.
    Joint,
}

impl SaidBack {
    /// Whether two findings are said back together.
    pub fn together(self, grammar: &Grammar, one: &Finding, other: &Finding) -> bool {
        match self {
            SaidBack::Finding => false,
            SaidBack::Movement => subject(one) == subject(other) && one.joint == other.joint,
            SaidBack::Joint => joint(grammar, one) == joint(grammar, other),
        }
    }
}

/// What was examined, but for the joint and the side.
fn subject(finding: &Finding) -> [Option<&String>; 5] {
    let Finding {
        movement,
        muscle,
        test,
        structure,
        level,
        ..
    } = finding;
    [movement, muscle, test, structure, level].map(Option::as_ref)
}

/// The joint that it is about: of a muscle or a test the one that it belongs to.
fn joint<'a>(grammar: &'a Grammar, finding: &'a Finding) -> Option<&'a String> {
    let muscle = finding.muscle.as_deref().and_then(|name| grammar.muscle(name));
    let test = finding.test.as_deref().and_then(|name| grammar.test(name));
    let of_test = test.and_then(|test| test.joints.first());
    finding
        .joint
        .as_ref()
        .or(muscle.map(|muscle| &muscle.joint))
        .or(of_test)
}
