//! Fragments → findings: an utterance is cut where a place would be said twice.

use crate::grammar::fragment::Slot;

use super::cover::Part;

/// Parts that belong to one finding, in the order in which they were said.
pub type Draft = Vec<Part>;

/// Cuts `parts` into drafts. The error says what stands in the way, in a therapist's words.
///
/// What was named after the last result may belong to it ("one ten right, one fifteen left") or to what follows
/// ("one ten, left one fifteen"). The second is usual; the first is taken where only it gives every finding a result
/// and something that tells it from the one before.
pub fn split(parts: &[Part]) -> Result<Vec<Draft>, String> {
    let usual = cut(parts, false);
    if usual.as_ref().is_ok_and(|drafts| is_whole(drafts)) {
        return usual;
    }
    let other = cut(parts, true);
    if other.as_ref().is_ok_and(|drafts| is_whole(drafts)) {
        return other;
    }
    usual
}

fn is_whole(drafts: &[Draft]) -> bool {
    drafts.iter().all(|draft| has_result(draft))
}

/// `named_after`: what was named after the last result belongs to it.
fn cut(parts: &[Part], named_after: bool) -> Result<Vec<Draft>, String> {
    let mut drafts: Vec<Draft> = Vec::new();
    let mut current: Draft = Vec::new();
    for part in parts {
        let slot = part.slot();
        // Signs gather.
        let said = current
            .iter()
            .find(|other| place(other.slot()) == place(slot) && slot != Slot::Sign);
        let again = said.is_some_and(|other| other.fill == part.fill && other.values == part.values);
        if said.is_none() {
            current.push(part.clone());
        } else if again && !(slot.is_context() && has_result(&current)) {
            // Said again in the same way: nothing new.
        } else if !has_result(&current) {
            return Err("two different things were said for one place".into());
        } else {
            let belongs = |other: &Part| named_after || other.after || !other.slot().is_context();
            let stay = current.iter().rposition(belongs).map_or(0, |last| last + 1);
            let mut next = current.split_off(stay);
            if next.iter().any(|other| other.slot() == slot) {
                return Err("two different things were said for one place".into());
            }
            next.push(part.clone());
            drafts.push(std::mem::replace(&mut current, next));
        }
    }
    // Named once more at the end: "right hip flexion one ten, on the right".
    let repeats = |before: &Draft| {
        current
            .iter()
            .all(|part| before.iter().any(|other| other.fill == part.fill))
    };
    if has_result(&current) || !drafts.last().is_some_and(repeats) {
        drafts.push(current);
    }
    let tells_apart = |draft: &Draft| draft.iter().any(|part| part.slot().is_context());
    if !drafts.iter().skip(1).all(tells_apart) {
        return Err("two results were said for one movement".into());
    }
    Ok(drafts)
}

/// A movement is measured in degrees or graded, not both.
fn place(slot: Slot) -> Slot {
    if slot == Slot::Strength {
        Slot::Amount
    } else {
        slot
    }
}

fn has_result(draft: &[Part]) -> bool {
    draft.iter().any(|part| part.slot().is_result())
}
