//! What a draft leaves out is taken from the finding before: joint, side, what it is about, then mode.

use crate::finding::{Finding, Kind, Side};
use crate::grammar::Grammar;
use crate::grammar::fragment::{Fill, Slot};

use super::context::Context;
use super::cover::Part;
use super::subject;

/// Puts into `finding` what carries over to `draft`. Another joint ends the reach of movement and mode; a muscle, a
/// test or a structure named anew ends that of the movement.
/// The error says what it can't be taken from.
pub fn carry(
    grammar: &Grammar,
    finding: &mut Finding,
    draft: &[Part],
    context: &Context,
) -> Result<(), String> {
    let said = |slot: Slot| draft.iter().find(|part| part.slot() == slot);
    finding.side = context.side;
    if said(Slot::Side).is_some_and(|part| part.fill == Some(Fill::OtherSide)) {
        finding.side = context.side.and_then(Side::opposite);
        if finding.side.is_none() {
            return Err("there is no side before this one that it could be the other of".into());
        }
    }
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
    let named = draft.iter().find_map(|part| match &part.fill {
        Some(Fill::Joint(joint)) => Some(&grammar.joints[*joint].name),
        Some(Fill::Movement(candidates)) => match candidates.as_slice() {
            [(joint, _)] => Some(&grammar.joints[*joint].name),
            _ => None,
        },
        _ => None,
    });
    if let Some(last) = &context.last
        && let (Some(before), Some(now)) = (&last.joint, named.or(finding.joint.as_ref()))
        && same_limb(before, now)
    {
        finding.level = finding.level.take().or_else(|| last.level.clone());
    }
    Ok(())
}

/// Joints of one limb are named alike but for the last word.
fn same_limb(one: &str, other: &str) -> bool {
    let limb = |joint: &str| joint.rsplit_once(' ').map(|(limb, _)| limb.to_string());
    one == other || (limb(one).is_some() && limb(one) == limb(other))
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
        // What it may be as well has still to be asked.
        finding.doubts = subject::in_doubt(last);
        if last.kind == Kind::Muscle {
            finding.mode = last.mode;
        }
        return;
    }
    // "Right hip no pain at rest": of the joint that is named, whatever moved before.
    let still = draft
        .iter()
        .any(|part| matches!(&part.fill, Some(Fill::PainWhen(when)) if grammar.still.contains(when)));
    if joint.is_none() || (joint == context.joint.as_ref() && !still) {
        finding.joint = context.joint.clone();
        finding.movement = context.movement.clone();
        finding.mode = context.mode;
    }
}

/// The joint that the finding's muscle or test belongs to; none if a test belongs to several.
fn tested_at<'a>(grammar: &'a Grammar, finding: &Finding) -> Option<&'a String> {
    let muscle = finding.muscle.as_deref().and_then(|name| grammar.muscle(name));
    let test = finding.test.as_deref().and_then(|name| grammar.test(name));
    match (muscle, test.map(|test| test.joints.as_slice())) {
        (Some(muscle), _) => Some(&muscle.joint),
        (None, Some([joint])) => Some(joint),
        _ => None,
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
        // The next joint of the same digit, if only that one makes it.
        let beside = candidates
            .iter()
            .map(|(joint, _)| &grammar.joints[*joint].name)
            .find(|name| !fits && context.joint.as_ref().is_some_and(|here| same_limb(here, name)));
        // Nothing but muscles or tests before: the joint that they are of, if it makes it.
        let tested = context.last.as_ref().and_then(|last| tested_at(grammar, last));
        let tested = tested.filter(|name| {
            candidates
                .iter()
                .any(|(joint, _)| &grammar.joints[*joint].name == *name)
        });
        finding.joint = beside.or(context.joint.as_ref()).or(tested).cloned();
    }
    if fits {
        finding.movement = context.movement.clone();
        finding.mode = context.mode;
    }
}
