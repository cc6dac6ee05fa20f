//! What has been said of the finding at hand, and what may still be said of it.

use super::super::Grammar;
use super::super::fragment::{Fill, Slot};

/// What has been said of the finding at hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub(super) struct Said {
    /// A bit for each [`Slot`].
    filled: u32,
    joint: Option<u8>,
    /// The fragment that named what the finding is about.
    subject: Option<u32>,
    /// Signs in this finding.
    signs: u8,
    /// Findings begun in this utterance.
    findings: u8,
    /// Fillers since the last fragment.
    fillers: u8,
    /// Nothing but the cue.
    cued: bool,
}

/// Most findings in one utterance.
const MOST_FINDINGS: u8 = 4;
/// Most signs in one finding.
const MOST_SIGNS: u8 = 3;
/// Most fillers between two fragments.
const MOST_FILLERS: u8 = 2;

impl Said {
    /// The utterance may end here: a filler or the cue leaves something to be said.
    pub fn may_end(self) -> bool {
        self.fillers == 0 && !self.cued
    }

    /// What has been said once `fragment` has been said too; `None` if it cannot be said here.
    pub fn with(self, grammar: &Grammar, fragment: u32) -> Option<Said> {
        let said = self;
        let fill = &grammar.automaton.fragment(fragment).fill;
        let slot = fill.slot();
        match fill {
            Fill::Filler { heard: false } => return None,
            Fill::Filler { heard: true } => {
                let fillers = said.fillers + 1;
                return (fillers <= MOST_FILLERS).then_some(Said { fillers, ..said });
            }
            // Only at the very beginning.
            Fill::Cue => return (said == Said::default()).then_some(Said { cued: true, ..said }),
            Fill::Control { .. } | Fill::Note | Fill::Ask(_) => {
                let said = Said { cued: false, ..said };
                return (said == Said::default()).then_some(Said { findings: 1, ..said });
            }
            _ => {}
        }
        let mut said = Said {
            fillers: 0,
            cued: false,
            ..said
        };
        if said.findings == 0 {
            said.findings = 1;
        }
        let place = slot.place();
        // Where the sign before it was.
        if grammar.automaton.fragment(fragment).place.is_some()
            && said.signs > 0
            && said.filled & place.bit() != 0
        {
            return said.fits(grammar).then_some(said);
        }
        let repeated = said.filled & place.bit() != 0 && !slot.gathers();
        if repeated {
            // A place said again begins the next finding, if this one has a result.
            if !slot.is_context() || !has_result(said.filled) || said.findings >= MOST_FINDINGS {
                return None;
            }
            said = Said {
                filled: 0,
                joint: said.joint,
                findings: said.findings + 1,
                ..Said::default()
            };
        }
        match fill {
            _ if slot.gathers() && said.signs >= MOST_SIGNS => return None,
            Fill::Joint(joint) => said.joint = Some(*joint as u8),
            _ if slot.gathers() => said.signs += 1,
            _ if slot.is_subject() => said.subject = Some(fragment),
            _ => {}
        }
        said.filled |= place.bit() | slot.bit();
        said.fits(grammar).then_some(said)
    }

    /// Only pairs that exist: a movement of the joint, a result that can be said of a test.
    fn fits(self, grammar: &Grammar) -> bool {
        let Some(subject) = self.subject else { return true };
        let fill = &grammar.automaton.fragment(subject).fill;
        let results = self.filled & !CONTEXT;
        if results & !fill.slot().results() != 0 {
            return false;
        }
        let Some(joint) = self.joint.map(usize::from) else {
            return true;
        };
        match fill {
            Fill::Movement(candidates) => candidates.iter().any(|&(of, _)| of == joint),
            Fill::Muscle { candidates, .. } => candidates
                .iter()
                .any(|&muscle| grammar.muscles[muscle].joint == grammar.joints[joint].name),
            Fill::Test(candidates) => candidates
                .iter()
                .any(|&test| grammar.tests[test].joints.contains(&grammar.joints[joint].name)),
            _ => true,
        }
    }
}

/// A control word is the whole utterance: nothing follows it.
pub(super) fn stands_alone(fill: &Fill) -> bool {
    match fill {
        Fill::Control { opens, .. } => !opens,
        Fill::Note | Fill::Ask(_) => true,
        _ => false,
    }
}

/// The places that say what was examined.
const CONTEXT: u32 = bits(&[
    Slot::Side,
    Slot::Joint,
    Slot::Movement,
    Slot::Muscle,
    Slot::Test,
    Slot::Structure,
    Slot::Girth,
    Slot::Level,
    Slot::Position,
    Slot::Mode,
    Slot::As,
]);

const fn bits(slots: &[Slot]) -> u32 {
    let (mut set, mut at) = (0, 0);
    while at < slots.len() {
        set |= 1 << slots[at] as u32;
        at += 1;
    }
    set
}

fn has_result(filled: u32) -> bool {
    filled & !CONTEXT != 0
}
