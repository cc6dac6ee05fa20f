//! Fragments → findings: an utterance is cut where a place would be said twice.

use super::cover::Part;

/// Parts that belong to one finding, in the order in which they were said.
pub type Draft = Vec<Part>;

/// Cuts `parts` into drafts. The error says what stands in the way, in a therapist's words.
pub fn split(parts: Vec<Part>) -> Result<Vec<Draft>, String> {
    let mut drafts: Vec<Draft> = Vec::new();
    let mut current: Draft = Vec::new();
    for part in parts {
        let slot = part.slot();
        let said = current.iter().find(|other| other.slot() == slot);
        match said {
            // Signs gather; anything else said again in the same way adds nothing.
            Some(other) if other.fill == part.fill && other.values == part.values => {
                if !slot.is_context() || !has_result(&current) {
                    continue;
                }
            }
            Some(_) if slot == crate::grammar::fragment::Slot::Sign => {
                current.push(part);
                continue;
            }
            None => {
                current.push(part);
                continue;
            }
            Some(_) => {}
        }
        if !has_result(&current) {
            return Err("two different things were said for one place".into());
        }
        // What was named after the last result already belongs to the next finding: "… one ten, left active …".
        let mut next: Draft = Vec::new();
        while let Some(last) = current.last() {
            if !last.slot().is_context() || last.after {
                break;
            }
            next.extend(current.pop());
        }
        next.reverse();
        if next.is_empty() && slot.is_result() {
            return Err("two results were said for one movement".into());
        }
        if next.iter().any(|other| other.slot() == slot) {
            return Err("two different things were said for one place".into());
        }
        next.push(part);
        drafts.push(std::mem::replace(&mut current, next));
    }
    if !current.is_empty() {
        drafts.push(current);
    }
    Ok(drafts)
}

fn has_result(draft: &Draft) -> bool {
    draft.iter().any(|part| part.slot().is_result())
}
