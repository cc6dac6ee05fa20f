//! A finding, whole or not: checked against what it is about, with what must still be said.

use crate::finding::{Finding, Kind, Mode};
use crate::grammar::Grammar;
use crate::grammar::numbers::{LARGEST, SMALLEST};

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
        let alone = finding.movement.is_none() && only_pain(grammar, finding);
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
    let at_a_joint = matches!(finding.kind, Kind::Movement | Kind::Pain)
        || (finding.kind == Kind::Palpation && finding.structure.is_none());
    if finding.joint.is_none() && at_a_joint {
        missing.push("joint");
    }
    if finding.movement.is_none() && finding.kind == Kind::Movement {
        missing.push("movement");
    }
    let only_placed = finding.signs.iter().all(|sign| grammar.positions.contains(sign));
    let found = if only_placed {
        let mut unplaced = finding.clone();
        unplaced.signs.clear();
        unplaced.has_result()
    } else {
        true
    };
    let found = found || !finding.doubts.is_empty();
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
        Kind::Girth => {
            let part = finding.level.as_deref()?.split(", ").next()?;
            grammar.midline.contains(part).then_some(false)
        }
        Kind::Palpation if finding.structure.is_some() => {
            let midline = finding
                .structure
                .iter()
                .any(|structure| grammar.midline.contains(structure));
            midline.then_some(false)
        }
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
    let degrees = finding
        .degrees
        .iter()
        .flat_map(|degrees| degrees.from.into_iter().chain([degrees.to]));
    if !matches!(finding.kind, Kind::Movement | Kind::Pain) {
        // Of a muscle or a test no reach is known, but for what a circle allows.
        return match degrees.clone().find(|n| !(SMALLEST..=LARGEST).contains(n)) {
            Some(n) => Err(format!("nothing goes to {n} degrees")),
            None => Ok(()),
        };
    }
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

fn only_pain(grammar: &Grammar, finding: &Finding) -> bool {
    finding.pain.is_some()
        && finding.degrees.is_none()
        && finding.range.is_none()
        && finding.end_feel.is_none()
        && finding.strength.is_none()
        && finding.power.is_none()
        && finding.signs.iter().all(|sign| grammar.pain_signs.contains(sign))
        && finding.mode.is_none()
}
