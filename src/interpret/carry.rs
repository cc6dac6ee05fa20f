//! What a draft leaves out is taken from the finding before: joint, side, what it is about, then mode.

use crate::finding::{Finding, Kind, Side};
use crate::grammar::Grammar;
use crate::grammar::fragment::{Fill, Slot};

use super::context::Context;
use super::cover::Part;

/// Puts into `finding` what carries over to `draft`. Another joint ends the reach of movement and mode; a muscle, a
/// test or a structure named anew ends that of the movement.
pub fn carry(grammar: &Grammar, finding: &mut Finding, draft: &[Part], context: &Context) {
    let said = |slot: Slot| draft.iter().find(|part| part.slot() == slot);
    finding.side = match said(Slot::Side).map(|part| &part.fill) {
        Some(Some(Fill::OtherSide)) => context.side.and_then(Side::opposite),
        _ => context.side,
    };
    let subject = draft.iter().find(|part| part.slot().is_subject());
    match subject.map(Part::slot) {
        None if said(Slot::LocalSign).is_some() && said(Slot::Copy).is_none() => {
            finding.kind = Kind::Palpation;
            finding.joint = context.joint.clone();
        }
        None => carry_subject(grammar, finding, draft, context),
        Some(Slot::Movement) => carry_joint(grammar, finding, draft, context),
        Some(_) => {}
    }
    let same_joint = finding.joint == context.last.as_ref().and_then(|last| last.joint.clone());
    if same_joint && let Some(last) = &context.last {
        finding.level = finding.level.take().or_else(|| last.level.clone());
    }
}

/// Nothing is named that the finding is about: it is about what the one before was about, unless another joint is
/// named.
fn carry_subject(grammar: &Grammar, finding: &mut Finding, draft: &[Part], context: &Context) {
    let Some(last) = &context.last else { return };
    let joint = draft.iter().find_map(|part| match part.fill {
        Some(Fill::Joint(joint)) => Some(&grammar.joints[joint].name),
        _ => None,
    });
    let by_name = matches!(last.kind, Kind::Muscle | Kind::Test | Kind::Girth)
        || (last.kind == Kind::Palpation && last.structure.is_some());
    if by_name && joint.is_none() {
        finding.kind = last.kind;
        finding.joint = last.joint.clone();
        finding.muscle = last.muscle.clone();
        finding.test = last.test.clone();
        finding.structure = last.structure.clone();
        finding.level = last.level.clone();
        if last.kind == Kind::Muscle {
            finding.mode = last.mode;
        }
        return;
    }
    if joint.is_none() || joint == context.joint.as_ref() {
        finding.joint = context.joint.clone();
        finding.movement = context.movement.clone();
        finding.mode = context.mode;
    }
}

/// A movement is named: its joint is the one before, if that makes it.
fn carry_joint(grammar: &Grammar, finding: &mut Finding, draft: &[Part], context: &Context) {
    let named = draft.iter().find_map(|part| match part.fill {
        Some(Fill::Joint(joint)) => Some(joint),
        _ => None,
    });
    if let Some(joint) = named {
        if context.joint.as_ref() == Some(&grammar.joints[joint].name) {
            finding.movement = context.movement.clone();
            finding.mode = context.mode;
        }
        return;
    }
    let candidates = draft.iter().find_map(|part| match &part.fill {
        Some(Fill::Movement(candidates)) => Some(candidates.as_slice()),
        _ => None,
    });
    let candidates = candidates.unwrap_or_default();
    let fits = candidates
        .iter()
        .any(|(joint, _)| context.joint.as_deref() == Some(grammar.joints[*joint].name.as_str()));
    // A movement that only another joint makes is of that joint.
    let elsewhere = candidates.len() == 1;
    if fits || !elsewhere {
        finding.joint = context.joint.clone();
    }
    if fits {
        finding.movement = context.movement.clone();
        finding.mode = context.mode;
    }
}
