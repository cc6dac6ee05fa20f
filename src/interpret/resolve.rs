//! A draft and what carries over → findings, with what is still missing.

use crate::finding::{Degrees, Finding, Kind, Mode};
use crate::grammar::Grammar;
use crate::grammar::fragment::{Fill, Slot};

use super::apply::apply_all;
use super::context::Context;
use super::cover::Part;

/// The findings of a draft: one, or two where a span runs through zero. The error says why there is none.
pub fn resolve(grammar: &Grammar, draft: &[Part], context: &Context) -> Result<Vec<Finding>, String> {
    let mut finding = Finding::new(Kind::Movement);
    let said = |slot: Slot| draft.iter().any(|part| part.slot() == slot);
    carry(grammar, &mut finding, draft, context);
    let (named, mut found): (Vec<Part>, Vec<Part>) =
        draft.iter().cloned().partition(|part| part.slot().is_context());
    apply_all(grammar, &mut finding, &named)?;
    if said(Slot::Copy) {
        copy_results(context, &mut finding)?;
    }
    let mut before = None;
    if let Some(at) = found.iter().position(|part| part.fill == Some(Fill::Span)) {
        before = through_zero(grammar, &mut finding, &found[at], said(Slot::Movement));
        if before.is_some() {
            found.remove(at);
        }
    }
    let straight = |part: &Part| matches!(part.fill, Some(Fill::DegreesShort | Fill::DegreesPast));
    if !said(Slot::Movement) && found.iter().any(straight) && spans(grammar, &finding) {
        // Of the two movements through zero it is always the one that straightens.
        finding.movement = None;
    }
    apply_all(grammar, &mut finding, &found)?;
    let mut findings: Vec<Finding> = before.into_iter().chain([finding]).collect();
    for finding in &mut findings {
        finish(grammar, finding)?;
    }
    Ok(findings)
}

/// Takes from the finding before what this one leaves out: joint, side, movement, then mode. Another joint ends the
/// reach of movement and mode.
fn carry(grammar: &Grammar, finding: &mut Finding, draft: &[Part], context: &Context) {
    finding.side = context.side;
    let same_joint = match draft.iter().find(|part| part.slot() == Slot::Joint) {
        Some(Part {
            fill: Some(Fill::Joint(joint)),
            ..
        }) => context.joint.as_deref() == Some(grammar.joints[*joint].name.as_str()),
        _ => {
            let fits = match draft.iter().find_map(|part| match &part.fill {
                Some(Fill::Movement(candidates)) => Some(candidates),
                _ => None,
            }) {
                Some(candidates) => candidates
                    .iter()
                    .any(|(joint, _)| context.joint.as_deref() == Some(grammar.joints[*joint].name.as_str())),
                None => true,
            };
            // A movement that only another joint makes is of that joint.
            let elsewhere = draft
                .iter()
                .any(|part| matches!(&part.fill, Some(Fill::Movement(candidates)) if candidates.len() == 1));
            if fits || !elsewhere {
                finding.joint = context.joint.clone();
            }
            fits
        }
    };
    if same_joint {
        finding.movement = context.movement.clone();
        finding.mode = context.mode;
    }
}

/// "Left the same": every result of the finding before, for something beside it.
fn copy_results(context: &Context, to: &mut Finding) -> Result<(), String> {
    let Some(from) = &context.last else {
        return Err("there is no finding before this one to copy".into());
    };
    let place = |finding: &Finding| {
        (
            finding.side,
            finding.joint.clone(),
            finding.movement.clone(),
            finding.mode,
        )
    };
    if place(from) == place(to) {
        return Err("that would copy the finding before onto itself".into());
    }
    to.degrees = from.degrees.clone();
    to.range = from.range.clone();
    to.pain = from.pain.clone();
    to.end_feel = from.end_feel.clone();
    to.strength = from.strength.clone();
    to.power = from.power.clone();
    to.signs = from.signs.clone();
    Ok(())
}

/// The finding's movement is one of the two that a span through zero covers.
fn spans(grammar: &Grammar, finding: &Finding) -> bool {
    let joint = finding.joint.as_deref().and_then(|name| grammar.joint(name));
    joint
        .and_then(|joint| Some((joint, joint.span?)))
        .is_some_and(|(joint, span)| {
            span.iter()
                .any(|&movement| Some(&joint.movements[movement].name) == finding.movement.as_ref())
        })
}

/// "Minus five to one thirty": the joint stops five short of straight and bends to 130. A first number without a minus
/// is also that many degrees short of straight, as ranges are usually spoken. Where a movement was said, only one that
/// bends and starts below zero is meant so; a movement carried over that does not run through zero is not.
fn through_zero(grammar: &Grammar, finding: &mut Finding, part: &Part, said: bool) -> Option<Finding> {
    let joint = grammar.joint(finding.joint.as_deref()?)?;
    let [straightens, bends] = joint.span?;
    let [from, to] = [part.values.first()?.number, part.values.get(1)?.number];
    let (from, to) = (from.min(to), from.max(to));
    let bends = &joint.movements[bends].name;
    let meant = match &finding.movement {
        None => true,
        Some(movement) if said => movement == bends && from < 0,
        Some(_) => spans(grammar, finding),
    };
    if !meant || finding.mode == Some(Mode::Resisted) {
        return None;
    }
    let mut first = finding.clone();
    first.movement = Some(joint.movements[straightens].name.clone());
    first.degrees = Some(Degrees {
        from: None,
        to: -from.abs(),
    });
    finding.movement = Some(bends.clone());
    finding.degrees = Some(Degrees { from: None, to });
    Some(first)
}

/// Checks the finding against the joint and lists what is missing. The error says what can't be.
pub fn finish(grammar: &Grammar, finding: &mut Finding) -> Result<(), String> {
    let joint = finding.joint.as_deref().and_then(|name| grammar.joint(name));
    if let (Some(joint), Some(name)) = (joint, finding.movement.as_deref())
        && grammar.movement(&joint.name, name).is_none()
    {
        return Err(format!("{} does not make {name}", joint.name));
    }
    check_reach(grammar, finding)?;
    if joint.is_some_and(|joint| !joint.sided) {
        finding.side = None;
    }
    if matches!(finding.kind, Kind::Movement | Kind::Pain) {
        // Pain alone needs no movement: "left knee pain at rest".
        let alone = finding.movement.is_none() && only_pain(finding);
        finding.kind = if alone { Kind::Pain } else { Kind::Movement };
    }
    let mut missing = Vec::new();
    if finding.side.is_none() && joint.is_none_or(|joint| joint.sided) {
        missing.push("side");
    }
    if finding.joint.is_none() {
        missing.push("joint");
    }
    if finding.movement.is_none() && finding.kind == Kind::Movement {
        missing.push("movement");
    }
    if !finding.has_result() && finding.doubts.is_empty() {
        missing.push(if finding.mode == Some(Mode::Resisted) {
            "strength"
        } else {
            "degrees"
        });
    }
    finding.missing = missing.into_iter().map(str::to_string).collect();
    Ok(())
}

/// No number is beyond what the movement can reach; where it has not been named yet, beyond what any can that it may be.
fn check_reach(grammar: &Grammar, finding: &Finding) -> Result<(), String> {
    let degrees = finding
        .degrees
        .iter()
        .flat_map(|degrees| degrees.from.into_iter().chain([degrees.to]));
    let arcs = finding.pain.iter().filter_map(|pain| pain.arc.as_ref());
    let numbers: Vec<i32> = degrees.chain(arcs.flat_map(|arc| [arc.from, arc.to])).collect();
    let is = |said: &Option<String>, name: &String| said.as_ref().is_none_or(|said| said == name);
    let joints = grammar
        .joints
        .iter()
        .filter(|joint| is(&finding.joint, &joint.name));
    let may_be: Vec<[i32; 2]> = joints
        .flat_map(|joint| &joint.movements)
        .filter(|movement| is(&finding.movement, &movement.name))
        .map(|movement| movement.reach)
        .collect();
    let beyond = |reach: &[i32; 2]| {
        numbers
            .iter()
            .copied()
            .find(|n| !(reach[0]..=reach[1]).contains(n))
    };
    if may_be.iter().any(|reach| beyond(reach).is_none()) {
        return Ok(());
    }
    match (may_be.as_slice(), &finding.joint, &finding.movement) {
        ([reach], Some(joint), Some(name)) => Err(format!(
            "{joint} {name} does not go to {} degrees: it reaches from {} to {}",
            beyond(reach).unwrap_or_default(),
            reach[0],
            reach[1]
        )),
        _ => Err("no movement that it may be goes to so many degrees".into()),
    }
}

fn only_pain(finding: &Finding) -> bool {
    finding.pain.is_some()
        && finding.degrees.is_none()
        && finding.range.is_none()
        && finding.end_feel.is_none()
        && finding.strength.is_none()
        && finding.power.is_none()
        && finding.signs.is_empty()
        && finding.mode.is_none()
}
