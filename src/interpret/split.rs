//! Fragments → findings: an utterance is cut where a place would be said twice.

use crate::finding::Side;
use crate::grammar::fragment::{Fill, Slot};

use super::cover::Part;

/// Parts that belong to one finding, in the order in which they were said.
pub type Draft = Vec<Part>;

// What a cut costs. The cheapest cut is taken; of equally cheap ones the earliest.
/// Each finding: as few as there can be.
const FINDING: u32 = 20;
/// What was examined, named after what was found: it more often belongs to what follows.
const NAMED_AFTER: u32 = 3;
/// The mode before a place that tells the finding from the one before by itself.
const MODE_FIRST: u32 = 4;
/// Each result with which a finding opens before anything is named, but for one: what follows a finding's results belongs to
/// that finding as long as it can.
const RESULT_FIRST: u32 = 1;
/// A cut where nothing parts the words, in a text that has commas.
const UNMARKED: u32 = 4;
/// A finding that opens with what belongs to the one before.
const TORN_OFF: u32 = 200;
/// A finding in which nothing was found.
const NO_RESULT: u32 = 1000;
/// A finding that opens with a sign: signs belong to what was said before them.
const SIGN_FIRST: u32 = 1500;
/// A finding that nothing tells from the one before.
const NOT_TOLD_APART: u32 = 10_000;

/// Cuts `parts` into drafts. The error says what stands in the way, in a therapist's words. `named_after`: what was
/// named after a result belongs to it rather than to what follows.
pub fn split(parts: &[Part], named_after: bool) -> Result<Vec<Draft>, String> {
    // For each place to cut: the least cost up to there, and where the last draft begins.
    let mut best: Vec<Option<(u32, usize)>> = vec![None; parts.len() + 1];
    let has_marks = parts.iter().skip(1).any(|part| part.marked);
    best[0] = Some((0, 0));
    for start in 0..parts.len() {
        let Some((so_far, _)) = best[start] else { continue };
        for end in start + 1..=parts.len() {
            let draft = &parts[start..end];
            if contradicts_itself(draft) {
                break;
            }
            let unmarked = start > 0 && has_marks && !draft[0].marked;
            let cost = so_far + cost(draft, start > 0, named_after) + if unmarked { UNMARKED } else { 0 };
            if best[end].is_none_or(|(known, _)| cost < known) {
                best[end] = Some((cost, start));
            }
        }
    }
    let (mut drafts, mut end) = (Vec::new(), parts.len());
    let Some((cost, _)) = best[end] else {
        return Err("two different things were said for one place".into());
    };
    if cost >= NOT_TOLD_APART {
        return Err("two results were said for one movement".into());
    }
    while let Some((_, start)) = best[end].filter(|_| end > 0) {
        drafts.push(parts[start..end].to_vec());
        end = start;
    }
    drafts.reverse();
    of_all(&mut drafts);
    // Only the last may wait for its result.
    if drafts.iter().rev().skip(1).any(|draft| !has_result(draft)) {
        return Err("two different things were said for one place".into());
    }
    of_both(&mut drafts)?;
    share(&mut drafts);
    Ok(drafts)
}

fn cost(draft: &[Part], later: bool, named_after: bool) -> u32 {
    let mut cost = FINDING;
    if later && draft[0].after {
        cost += TORN_OFF;
    }
    let found = draft.iter().position(|part| part.slot().is_result());
    let Some(found) = found else {
        return cost + NO_RESULT;
    };
    let named = |part: &&Part| part.slot().is_context();
    if later {
        let opens = draft.iter().take_while(|part| part.slot().is_result()).count() as u32;
        cost += RESULT_FIRST * opens.saturating_sub(1);
    }
    let after = draft[found..].iter().filter(named).count() as u32;
    if later && draft[0].slot() == Slot::Mode && draft.get(1).is_some_and(|next| next.slot().is_context()) {
        cost += MODE_FIRST;
    }
    if (found == 0 && !later) || named_after {
        // So it is in a breath that opens with a number: what is named next is what was measured.
        cost -= after.min(FINDING);
    } else {
        cost += NAMED_AFTER * after;
    }
    let said = |wanted: fn(Slot) -> bool| draft.iter().any(|part| wanted(part.slot()));
    let only_signs = !said(Slot::is_subject)
        && draft
            .iter()
            .all(|part| part.slot().is_context() || part.slot() == Slot::Sign);
    if later && (only_signs || !said(Slot::is_context)) {
        cost += NOT_TOLD_APART;
    }
    if later && draft[0].slot() == Slot::Sign {
        cost += SIGN_FIRST;
    }
    cost
}

/// A place is said twice, and not in the same words; a result is said again after another place was named; or results are
/// copied over those that were said.
fn contradicts_itself(draft: &[Part]) -> bool {
    let Some((last, before)) = draft.split_last() else {
        return false;
    };
    if last.slot() == Slot::Copy && before.iter().any(|part| part.slot().is_result()) {
        return true;
    }
    // "Right four minus, Trendelenburg positive": a strength before a test that has a result is of what was tested before
    // it. Without plus or minus it may be a grade of the test itself.
    let strength = |part: &Part| part.values.iter().any(|value| value.sign != 0);
    if last.slot() == Slot::Result
        && let Some(test) = before.iter().position(|part| part.slot() == Slot::Test)
        && before[..test].iter().any(strength)
    {
        return true;
    }
    let named_since = |at: usize| before[at + 1..].iter().any(|part| part.slot().is_context());
    !last.slot().gathers()
        && before.iter().enumerate().any(|(at, other)| {
            let again = other.fill == last.fill && other.values == last.values;
            other.slot().place() == last.slot().place()
                && (!again || (last.slot().is_result() && named_since(at)))
                && !narrows(other, last)
        })
}

/// "Internal rotation thirty five, external rotation forty five, both firm", "no pain with either": what is said of two
/// findings at the end of a breath goes into each. Of more than two the error says that it can't be told of which.
fn of_both(drafts: &mut [Draft]) -> Result<(), String> {
    let several = drafts.len() > 1;
    let Some(last) = drafts.last_mut().filter(|_| several) else {
        return Ok(());
    };
    let neither = |part: &Part| part.fill == Some(Fill::PainOfNeither);
    let of_each = if let Some(at) = said_of_both(last) {
        last.split_off(at).into_iter().skip(1).collect()
    } else if let Some(at) = last.iter().position(neither) {
        vec![Part {
            fill: Some(Fill::PainFelt(false)),
            ..last.remove(at)
        }]
    } else {
        Vec::new()
    };
    if of_each.is_empty() {
        return Ok(());
    }
    let [first, second] = drafts else {
        return Err("that was said of two findings, and there are more: say it of each".into());
    };
    for draft in [first, second] {
        draft.extend(of_each.iter().cloned());
        if contradicts_itself(draft) {
            return Err("two different things were said for one place".into());
        }
    }
    Ok(())
}

/// "Flexion and extension full", "abduction, adduction both strong": what is said in words of the last of several that were
/// named one after the other is of all of them. A number is of one alone.
fn of_all(drafts: &mut [Draft]) {
    let Some((last, named)) = drafts.split_last_mut() else {
        return;
    };
    let only_named = |draft: &Draft| {
        let subjects = draft.iter().filter(|part| part.slot().is_subject()).count();
        subjects == 1 && draft.iter().all(|part| part.slot().is_context())
    };
    let Some(at) = last.iter().position(|part| part.slot().is_subject()) else {
        return;
    };
    let two = named.len() == 1;
    let both =
        |part: &Part| two && part.fill == Some(Fill::Side(Side::Both)) && part.span.1 - part.span.0 == 1;
    // A word that joins them, or says that both are meant; else the first may have been named by mistake.
    let ended = named
        .last()
        .and_then(|draft| draft.last())
        .map(|part| part.span.1);
    let joined = ended.is_some_and(|ended| ended < last[0].span.0) || last.iter().any(both);
    let (subject, of_each) = (last[..=at].to_vec(), &last[at + 1..]);
    let of_each: Vec<Part> = of_each.iter().filter(|part| !both(part)).cloned().collect();
    let in_words = of_each.iter().all(|part| part.values.is_empty());
    if named.is_empty() || !joined || !named.iter().all(only_named) || !has_result(&of_each) || !in_words {
        return;
    }
    for draft in &mut *named {
        draft.extend(of_each.iter().cloned());
    }
    *last = [subject, of_each].concat();
}

/// Where the last finding, which names what was examined and its own result, goes on to say something of both: the place of
/// the word "both".
fn said_of_both(last: &[Part]) -> Option<usize> {
    let found = last.iter().position(|part| part.slot().is_result())?;
    if !last[..found].iter().any(|part| part.slot().is_subject()) {
        return None;
    }
    last.windows(2).enumerate().find_map(|(at, pair)| {
        let both = pair[0].fill == Some(Fill::Side(Side::Both)) && pair[0].span.1 - pair[0].span.0 == 1;
        (at > found && both && pair[1].slot().is_result()).then_some(at)
    })
}

/// The same movement by a name that fewer joints have: "extension five degrees of hyperextension".
fn narrows(wide: &Part, narrow: &Part) -> bool {
    let (Some(Fill::Movement(wide)), Some(Fill::Movement(narrow))) = (&wide.fill, &narrow.fill) else {
        return false;
    };
    narrow.iter().all(|candidate| wide.contains(candidate))
}

/// What is named once, at the end of a breath, is of every finding in it that does not say it: "active one ten passive
/// one twenty right hip". Whatever is named first carries over by itself.
fn share(drafts: &mut [Draft]) {
    let Some((last, earlier)) = drafts.split_last_mut() else {
        return;
    };
    let Some(found) = last.iter().position(|part| part.slot().is_result()) else {
        return;
    };
    let shared: Vec<Part> = last[found..]
        .iter()
        .filter(|part| matches!(part.slot(), Slot::Side | Slot::Joint | Slot::Level))
        .cloned()
        .collect();
    for part in shared {
        let said = |draft: &Draft| draft.iter().any(|other| other.slot() == part.slot());
        if earlier.iter().any(said) {
            continue;
        }
        earlier.iter_mut().for_each(|draft| draft.push(part.clone()));
    }
}

fn has_result(draft: &[Part]) -> bool {
    draft.iter().any(|part| part.slot().is_result())
}
