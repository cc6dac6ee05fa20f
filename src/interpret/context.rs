//! What carries over from one finding to the next.

use crate::finding::{Finding, Mode, Side};

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
    /// Takes note of a finding.
    pub fn follow(&mut self, finding: &Finding) {
        if finding.joint.is_some() {
            self.side = finding.side;
            self.joint = finding.joint.clone();
            self.movement = finding.movement.clone();
            self.mode = finding.mode;
        }
        self.last = Some(finding.clone());
    }
}
