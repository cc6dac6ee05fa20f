//! A draft and what carries over → findings, with what is still missing.

use crate::finding::{Degrees, Finding, Kind, Mode};
use crate::grammar::Grammar;
use crate::grammar::fragment::{Fill, Slot};

use super::apply::{Surroundings, apply_all};
use super::carry::carry;
use super::context::{Context, same_place};
use super::cover::Part;
use super::reckon::{copy_results, reckon};

/// The findings of a draft: one, or more where a span runs through zero or something is said of the part beside its
/// movement. The error says why there is none.
pub fn resolve(
    grammar: &Grammar,
    draft: &[Part],
    words: &[String],
    context: &Context,
) -> Result<Vec<Finding>, String> {
    let beside = |part: &Part| matches!(part.slot(), Slot::LocalSign | Slot::Observation);
    let (beside, own): (Vec<Part>, Vec<Part>) = draft.iter().cloned().partition(beside);
    let mut findings = Vec::new();
    let subject = own.iter().find(|part| part.slot().is_subject());
    let felt = subject.is_some_and(|part| part.slot() == Slot::Structure);
    if beside.is_empty() || felt || own.iter().any(|part| part.slot().is_result()) {
        let draft = if felt { draft } else { &own };
        findings = about_one(grammar, draft, context)?;
    }
    if !felt {
        let mut then = context.clone();
        findings.iter().for_each(|finding| then.follow(finding));
        let place = |part: &&Part| matches!(part.slot(), Slot::Side | Slot::Joint | Slot::Level);
        let places: Vec<Part> = own.iter().filter(place).cloned().collect();
        let of = |slot: Slot| -> Vec<Part> {
            let signs = beside.iter().filter(|part| part.slot() == slot);
            places.iter().chain(signs).cloned().collect()
        };
        if beside.iter().any(|part| part.slot() == Slot::LocalSign) {
            findings.extend(about_one(grammar, &of(Slot::LocalSign), &then)?);
        }
        if beside.iter().any(|part| part.slot() == Slot::Observation) {
            let said = if findings.is_empty() { draft } else { &beside };
            findings.push(observed(grammar, &of(Slot::Observation), said, words, context)?);
        }
    }
    Ok(findings)
}

/// How somebody stands or walks: the words as they were said, and the signs that they name.
fn observed(
    grammar: &Grammar,
    parts: &[Part],
    said: &[Part],
    words: &[String],
    context: &Context,
) -> Result<Finding, String> {
    let mut finding = Finding::new(Kind::Note);
    apply_all(&around(grammar, parts, context), &mut finding, parts)?;
    let from = said.iter().map(|part| part.span.0).min().unwrap_or_default();
    let to = said.iter().map(|part| part.span.1).max().unwrap_or_default();
    finding.text = Some(words[from..to].join(" "));
    Ok(finding)
}

fn about_one(grammar: &Grammar, draft: &[Part], context: &Context) -> Result<Vec<Finding>, String> {
    let mut finding = Finding::new(Kind::Movement);
    let said = |slot: Slot| draft.iter().any(|part| part.slot() == slot);
    carry(grammar, &mut finding, draft, context);
    let (named, mut found): (Vec<Part>, Vec<Part>) =
        draft.iter().cloned().partition(|part| part.slot().is_context());
    let around = around(grammar, draft, context);
    apply_all(&around, &mut finding, &named)?;
    reckon(&mut finding, &mut found, &named, context)?;
    if said(Slot::Copy) {
        let from = context
            .last
            .as_ref()
            .ok_or("there is no finding before this one to copy")?;
        if same_place(from, &finding) {
            return Err("that would copy the finding before onto itself".into());
        }
        copy_results(from, &mut finding);
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
    apply_all(&around, &mut finding, &found)?;
    let mut findings: Vec<Finding> = before.into_iter().chain([finding]).collect();
    for finding in &mut findings {
        finish(grammar, finding)?;
    }
    Ok(findings)
}

/// The joint at hand: the one before, or where the test or muscle before belongs.
fn around<'a>(grammar: &'a Grammar, draft: &[Part], context: &'a Context) -> Surroundings<'a> {
    let named = draft.iter().any(|part| part.slot() == Slot::Joint);
    let last = context.last.as_ref();
    let test = last.and_then(|last| grammar.test(last.test.as_deref()?)?.joints.first());
    let muscle = last.and_then(|last| Some(&grammar.muscle(last.muscle.as_deref()?)?.joint));
    let joint = test.or(muscle).or(context.joint.as_ref());
    Surroundings {
        grammar,
        joint: joint.filter(|_| !named).map(String::as_str),
    }
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

/// Checks the finding against what it is about and lists what is missing. The error says what can't be.
pub fn finish(grammar: &Grammar, finding: &mut Finding) -> Result<(), String> {
    let joint = finding.joint.as_deref().and_then(|name| grammar.joint(name));
    let movement = finding.movement.as_deref();
    if let (Some(joint), Some(name)) = (joint, movement)
        && grammar.movement(&joint.name, name).is_none()
    {
        return Err(format!("{} does not make {name}", joint.name));
    }
    check_reach(grammar, finding)?;
    if matches!(finding.kind, Kind::Movement | Kind::Pain) {
        // Pain alone needs no movement: "left knee pain at rest".
        let alone = finding.movement.is_none() && only_pain(finding);
        finding.kind = if alone { Kind::Pain } else { Kind::Movement };
    }
    let sided = is_sided(grammar, finding);
    if sided == Some(false) {
        finding.side = None;
    }
    let mut missing = Vec::new();
    if finding.side.is_none() && sided != Some(false) {
        missing.push("side");
    }
    if finding.joint.is_none() && matches!(finding.kind, Kind::Movement | Kind::Pain) {
        missing.push("joint");
    }
    if finding.movement.is_none() && finding.kind == Kind::Movement {
        missing.push("movement");
    }
    let found = finding.has_result() || !finding.doubts.is_empty();
    match finding.kind {
        Kind::Girth if finding.girth_cm.is_none() => missing.push("girth_cm"),
        _ if found => {}
        Kind::Movement if finding.mode != Some(Mode::Resisted) => missing.push("degrees"),
        Kind::Movement | Kind::Muscle => missing.push("strength"),
        Kind::Test => missing.push("result"),
        _ => missing.push("pain"),
    }
    finding.missing = missing.into_iter().map(str::to_string).collect();
    Ok(())
}

/// There is a left one and a right one; `None` if what it is about is not known.
fn is_sided(grammar: &Grammar, finding: &Finding) -> Option<bool> {
    let joint = finding.joint.as_deref().and_then(|name| grammar.joint(name));
    match finding.kind {
        Kind::Muscle => Some(grammar.muscle(finding.muscle.as_deref()?)?.sided),
        Kind::Test => Some(grammar.test(finding.test.as_deref()?)?.sided),
        Kind::Note => Some(false),
        Kind::Palpation if finding.structure.is_some() => None,
        _ => match (joint, finding.movement.as_deref()) {
            (Some(joint), Some(name)) => grammar.movement(&joint.name, name).map(|movement| movement.sided),
            // Of the spine some movements have a side and some have none.
            (Some(joint), None) if joint.movements.iter().any(|movement| movement.sided) => {
                Some(joint.sided).filter(|sided| *sided)
            }
            (Some(joint), None) => Some(joint.sided),
            _ => None,
        },
    }
}

/// No number is beyond what the movement can reach; where it has not been named yet, beyond what any can that it may be.
fn check_reach(grammar: &Grammar, finding: &Finding) -> Result<(), String> {
    if !matches!(finding.kind, Kind::Movement | Kind::Pain) {
        return Ok(());
    }
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
