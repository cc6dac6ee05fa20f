//! Pictures, drawn on this side as SVG. Each has its text beside it; nothing is told by colour alone.

mod bars;
mod body;
mod lines;
mod scale;

pub use bars::bars;
pub use body::{Of, body};
pub use lines::{Progress, lines};

use crate::finding::Finding;
use crate::grammar::{Grammar, Usual};

/// What is tabulated for adults for the movement of a finding.
pub fn usual<'a>(grammar: &'a Grammar, finding: &Finding) -> Option<&'a Usual> {
    let joint = grammar
        .joints
        .iter()
        .find(|joint| Some(&joint.name) == finding.joint.as_ref())?;
    let movement = joint
        .movements
        .iter()
        .find(|movement| Some(&movement.name) == finding.movement.as_ref())?;
    movement.usual.as_ref()
}
