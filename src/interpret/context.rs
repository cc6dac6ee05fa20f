//! What carries over from one finding to the next.

use crate::finding::{Finding, Kind, Mode, Side};

/// The findings before, as far as the next one may lean on them.
#[derive(Clone, Debug, Default)]
pub struct Context {
    pub side: Option<Side>,
    pub joint: Option<String>,
    pub movement: Option<String>,
    pub mode: Option<Mode>,
    /// The finding before, whole.
    pub last: Option<Finding>,
    /// The latest findings, the newest last: what "as on the right" may refer to.
    seen: Vec<Finding>,
}

/// How many findings back "as on the right" may reach.
const REACH: usize = 40;

impl Context {
    /// Takes note of a finding. A note of free words is none to lean on.
    pub fn follow(&mut self, finding: &Finding) {
        if finding.kind == Kind::Note {
            return;
        }
        if finding.joint.is_some() {
            self.joint = finding.joint.clone();
        }
        if finding.joint.is_some() || finding.side.is_some() {
            self.side = finding.side;
        }
        if matches!(finding.kind, Kind::Movement | Kind::Pain) && finding.joint.is_some() {
            self.movement = finding.movement.clone();
            self.mode = finding.mode;
        }
        self.last = Some(finding.clone());
        self.seen.retain(|seen| !same_place(seen, finding));
        self.seen.push(finding.clone());
        if self.seen.len() > REACH {
            self.seen.remove(0);
        }
    }

    /// Nothing is there to lean on.
    pub fn is_empty(&self) -> bool {
        self.last.is_none()
    }

    /// The finding before names what is examined and waits for its result: the next one takes its place.
    pub fn only_names(&self) -> bool {
        self.last
            .as_ref()
            .is_some_and(|last| !last.is_settled() && !last.has_result())
    }

    /// The newest finding of the same thing on another side, `side` if it is given.
    pub fn beside(&self, finding: &Finding, side: Option<Side>) -> Option<&Finding> {
        self.seen.iter().rev().find(|seen| {
            seen.side != finding.side
                && side.is_none_or(|side| seen.side == Some(side))
                && (seen.mode == finding.mode || finding.mode.is_none())
                && same_subject(seen, finding)
        })
    }

    /// The newest finding of the same thing and side in another mode.
    pub fn other_mode(&self, finding: &Finding) -> Option<&Finding> {
        self.seen.iter().rev().find(|seen| {
            seen.side == finding.side && seen.mode != finding.mode && same_subject(seen, finding)
        })
    }
}

/// Both are about the same movement, muscle, test or structure.
pub fn same_subject(one: &Finding, other: &Finding) -> bool {
    one.kind == other.kind
        && one.joint == other.joint
        && one.movement == other.movement
        && one.muscle == other.muscle
        && one.test == other.test
        && one.structure == other.structure
        && one.level == other.level
}

/// Both are of the same thing, side and mode.
pub fn same_place(one: &Finding, other: &Finding) -> bool {
    one.side == other.side && one.mode == other.mode && same_subject(one, other)
}
