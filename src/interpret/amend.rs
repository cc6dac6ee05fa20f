//! Words that change the finding before instead of making a new one: a correction, an answer to a question.

use crate::finding::Finding;
use crate::grammar::Grammar;
use crate::grammar::fragment::Slot;

use super::apply::apply;
use super::cover::Part;
use super::resolve::finish;

/// The finding with the places that `parts` name replaced. The error says why that can't be.
pub fn correct(grammar: &Grammar, finding: &Finding, parts: &[Part]) -> Result<Finding, String> {
    let mut corrected = finding.clone();
    for part in in_order(parts) {
        settle(&mut corrected, part.slot());
        apply(grammar, &mut corrected, part)?;
    }
    finish(grammar, &mut corrected)?;
    Ok(corrected)
}

/// The finding with what it lacked, if `parts` say some of that and contradict nothing; `None` if they don't.
pub fn complete(grammar: &Grammar, finding: &Finding, parts: &[Part]) -> Option<Finding> {
    if finding.is_settled() {
        return None;
    }
    let open = |part: &Part| {
        let slot = part.slot();
        let missing = finding
            .missing
            .iter()
            .any(|field| slots_of(field).contains(&slot));
        missing
            || finding
                .doubts
                .iter()
                .any(|doubt| slots_of(&doubt.field).contains(&slot))
    };
    // What is said again must be what was said; what is new must be what is missing, or add to a finding that had
    // no result yet.
    let mut completed = finding.clone();
    let had_result = finding.has_result();
    let mut answered = false;
    for part in in_order(parts) {
        let before = completed.clone();
        if open(part) {
            settle(&mut completed, part.slot());
            answered = true;
        }
        apply(grammar, &mut completed, part).ok()?;
        let unchanged_before = before == completed;
        if !unchanged_before && !open(part) {
            let fills_a_gap = match part.slot() {
                Slot::Mode => finding.mode.is_none(),
                slot => slot.is_result() && !had_result,
            };
            if !fills_a_gap {
                return None;
            }
            answered = true;
        }
    }
    if !answered {
        return None;
    }
    finish(grammar, &mut completed).ok()?;
    Some(completed)
}

/// What names the movement goes first: a number takes its meaning from it.
fn in_order(parts: &[Part]) -> impl Iterator<Item = &Part> {
    let named = |part: &&Part| part.slot().is_context();
    parts
        .iter()
        .filter(named)
        .chain(parts.iter().filter(move |part| !named(part)))
}

/// A place that is said anew is no longer in doubt.
fn settle(finding: &mut Finding, slot: Slot) {
    finding
        .doubts
        .retain(|doubt| !slots_of(&doubt.field).contains(&slot));
}

/// The places that answer for a field of the published JSON.
fn slots_of(field: &str) -> &'static [Slot] {
    match field {
        "side" => &[Slot::Side],
        "joint" => &[Slot::Joint],
        "movement" => &[Slot::Movement],
        "mode" => &[Slot::Mode],
        "degrees" | "strength" => &[Slot::Amount, Slot::Strength, Slot::Range],
        "range" => &[Slot::Range],
        "end_feel" => &[Slot::EndFeel],
        "pain" => &[Slot::PainFelt, Slot::PainScore, Slot::PainWhen, Slot::PainArc],
        "power" => &[Slot::Power],
        "signs" => &[Slot::Sign],
        _ => &[],
    }
}
