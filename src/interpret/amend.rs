//! Words that change the finding before instead of making a new one: a correction, an answer to a question.

use crate::finding::{Doubt, Finding, Kind, Side};
use crate::grammar::Grammar;
use crate::grammar::fragment::{Fill, Slot};

use super::apply::{Surroundings, apply_all};
use super::cover::Part;
use super::finish::finish;
use super::number::{DEGREES, STRENGTH, decide_number};
use super::subject;

/// The finding with the places that `parts` name replaced. The error says why that can't be.
pub fn correct(grammar: &Grammar, finding: &Finding, parts: &[Part]) -> Result<Finding, String> {
    let had_span = finding
        .degrees
        .as_ref()
        .is_some_and(|degrees| degrees.from.is_some());
    if !had_span && parts.iter().any(|part| part.fill == Some(Fill::Span)) {
        return Err("a span can't replace one number: say the two movements one by one".into());
    }
    let mut corrected = finding.clone();
    if parts.iter().any(|part| part.slot() == Slot::Sign) {
        corrected.signs.clear();
    }
    change(grammar, &mut corrected, parts)?;
    Ok(corrected)
}

/// The finding with what it lacked, if `parts` say some of that and contradict nothing; `None` if they don't.
pub fn complete(grammar: &Grammar, finding: &Finding, parts: &[Part]) -> Option<Finding> {
    if finding.is_settled() || parts.iter().any(|part| stands_alone(finding, part)) {
        return None;
    }
    let places: Vec<Slot> = parts.iter().map(|part| part.slot().place()).collect();
    if (1..places.len()).any(|at| !places[at].gathers() && places[..at].contains(&places[at])) {
        return None;
    }
    let asked = |slot: Slot| {
        let doubted = finding.doubts.iter().map(|doubt| &doubt.field);
        finding
            .missing
            .iter()
            .chain(doubted)
            .any(|field| slots_of(field).contains(&slot))
    };
    // What is said again must be what was said; what is new must be what is asked, or add to a finding that had no
    // result yet.
    let mut answered = false;
    for part in parts {
        let slot = part.slot();
        let fills_a_gap = match slot {
            Slot::Mode => finding.mode.is_none(),
            slot => slot.is_result() && !finding.has_result(),
        };
        if asked(slot) || fills_a_gap {
            answered = true;
            continue;
        }
        let mut again = finding.clone();
        apply_all(&unplaced(grammar), &mut again, std::slice::from_ref(part)).ok()?;
        if again != *finding {
            return None;
        }
    }
    if !answered {
        return None;
    }
    let mut completed = finding.clone();
    change(grammar, &mut completed, parts).ok()?;
    Some(completed)
}

/// What makes a finding of its own, whatever the one before still lacks.
fn stands_alone(finding: &Finding, part: &Part) -> bool {
    match part.fill {
        Some(Fill::Span) => finding.movement.is_none(),
        Some(
            Fill::Copy | Fill::CopyEndFeel | Fill::More | Fill::Less | Fill::As(_) | Fill::Observation(_),
        ) => true,
        Some(Fill::LocalSign(_)) => finding.kind == Kind::Movement,
        _ => false,
    }
}

/// Puts `parts` over what was there. What is said anew is no longer in doubt.
fn change(grammar: &Grammar, finding: &mut Finding, parts: &[Part]) -> Result<(), String> {
    let in_doubt = |doubt: &Doubt| doubt.field == DEGREES || doubt.field == STRENGTH;
    let number_in_doubt = finding.doubts.iter().any(in_doubt);
    let (named, found): (Vec<Part>, Vec<Part>) =
        parts.iter().cloned().partition(|part| part.slot().is_context());
    let mode = finding.mode;
    named.iter().for_each(|part| settle(finding, part.slot()));
    put_in(grammar, finding, &named)?;
    if named.iter().any(|part| part.fill == Some(Fill::OtherSide)) {
        finding.side = finding.side.and_then(Side::opposite);
    }
    if named.iter().any(|part| part.slot() == Slot::Joint) {
        subject::settle_by_joint(grammar, finding);
    }
    if finding.mode != mode {
        decide_number(finding);
    }
    found.iter().for_each(|part| settle(finding, part.slot()));
    // A bare number said again says no more than before of what it is.
    if number_in_doubt && found.iter().any(|part| part.fill == Some(Fill::Number)) {
        (finding.degrees, finding.strength) = (None, None);
    }
    apply_all(&unplaced(grammar), finding, &found)?;
    finish(grammar, finding)
}

/// The finding with `parts` put in. Of tests and muscles that share a name, the one at the joint of what is replaced is
/// meant.
fn put_in(grammar: &Grammar, finding: &mut Finding, parts: &[Part]) -> Result<(), String> {
    let of_test = finding.test.as_deref().and_then(|name| grammar.test(name));
    let of_muscle = finding.muscle.as_deref().and_then(|name| grammar.muscle(name));
    let joint = of_test
        .and_then(|test| test.joints.first())
        .or(of_muscle.map(|muscle| &muscle.joint))
        .cloned();
    let around = Surroundings {
        grammar,
        joint: joint.as_deref(),
    };
    apply_all(&around, finding, parts)
}

/// No joint at hand but the finding's own.
fn unplaced(grammar: &Grammar) -> Surroundings<'_> {
    Surroundings { grammar, joint: None }
}

/// A place that is said anew is no longer in doubt.
fn settle(finding: &mut Finding, slot: Slot) {
    finding.doubts.retain(|doubt| {
        slot == Slot::Joint && doubt.field != "joint" || !slots_of(&doubt.field).contains(&slot)
    });
}

/// The places that answer for a field of the published JSON.
fn slots_of(field: &str) -> &'static [Slot] {
    match field {
        "side" => &[Slot::Side],
        "joint" => &[Slot::Joint],
        "movement" => &[Slot::Movement],
        "mode" => &[Slot::Mode],
        "muscle" => &[Slot::Muscle, Slot::Joint],
        "test" => &[Slot::Test, Slot::Joint],
        "structure" => &[Slot::Structure],
        "level" => &[Slot::Level],
        "degrees" | "strength" => &[Slot::Amount, Slot::Strength, Slot::Range],
        "laxity" | "girth_cm" => &[Slot::Amount, Slot::Strength],
        "result" => &[Slot::Result],
        "range" => &[Slot::Range],
        "end_feel" => &[Slot::EndFeel],
        "pain" => &[Slot::PainFelt, Slot::PainScore, Slot::PainWhen, Slot::PainArc],
        "power" => &[Slot::Power],
        "signs" => &[Slot::Sign, Slot::LocalSign],
        _ => &[],
    }
}
