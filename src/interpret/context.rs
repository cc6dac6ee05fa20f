//! What carries over from one finding to the next.

use crate::finding::{Finding, Kind, Mode, Side};

/// The finding before, as far as the next one may lean on it.
#[derive(Clone, Debug, Default)]
pub struct Context {
    pub side: Option<Side>,
    pub joint: Option<String>,
    pub movement: Option<String>,
    pub mode: Option<Mode>,
    /// The finding before, whole.
    pub last: Option<Finding>,
}

impl Context {
    /// Takes note of a finding. A note of free words is none to lean on.
    pub fn follow(&mut self, finding: &Finding) {
        if finding.kind == Kind::Note {
            return;
        }
        if finding.joint.is_some() {
            self.side = finding.side;
            self.joint = finding.joint.clone();
            self.movement = finding.movement.clone();
            self.mode = finding.mode;
        }
        self.last = Some(finding.clone());
    }

    /// Nothing is there to lean on.
    pub fn is_empty(&self) -> bool {
        self.joint.is_none() && self.movement.is_none()
    }

    /// The finding before names what is examined and waits for its result: the next one takes its place.
    pub fn only_names(&self) -> bool {
        self.last
            .as_ref()
            .is_some_and(|last| !last.is_settled() && !last.has_result())
    }
}
