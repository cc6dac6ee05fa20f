//! One fragment put into a finding.

use crate::finding::{Arc, Finding, Mode, Pain};
use crate::grammar::Grammar;
use crate::grammar::fragment::{Fill, Slot};

use super::cover::Part;
use super::number::{bare_number, degrees, grade, strength};

/// Puts `part` into `finding`, over what was there. The joint, movement and mode must be in place before a number.
/// The error says why it can't be, in a therapist's words.
fn apply(grammar: &Grammar, finding: &mut Finding, part: &Part) -> Result<(), String> {
    let Some(fill) = &part.fill else { return Ok(()) };
    let number = |at: usize| part.values.get(at).map_or(0, |value| value.number);
    match fill {
        Fill::Side(side) => finding.side = Some(*side),
        Fill::Joint(joint) => {
            finding.joint = Some(grammar.joints[*joint].name.clone());
            refit_movement(grammar, finding);
        }
        Fill::Movement(candidates) => name_movement(grammar, finding, candidates)?,
        Fill::Mode(mode) => finding.mode = Some(*mode),
        Fill::Range(range) => finding.range = Some(range.clone()),
        Fill::EndFeel(end_feel) => finding.end_feel = Some(end_feel.clone()),
        Fill::Power(power) => finding.power = Some(power.clone()),
        Fill::Sign(sign) => {
            if !finding.signs.contains(sign) {
                finding.signs.push(sign.clone());
            }
        }
        Fill::PainFelt(felt) => {
            if *felt {
                let pain = pain(finding);
                pain.felt = true;
                pain.score = pain.score.filter(|score| *score > 0);
            } else {
                finding.pain = Some(Pain {
                    felt: false,
                    score: None,
                    when: None,
                    arc: None,
                });
            }
        }
        Fill::PainWhen(when) => {
            let pain = pain(finding);
            pain.felt = true;
            pain.when = Some(when.clone());
        }
        Fill::PainScore => {
            let pain = pain(finding);
            pain.score = u8::try_from(number(0)).ok();
            pain.felt = number(0) > 0;
        }
        Fill::PainArc => {
            let pain = pain(finding);
            pain.felt = true;
            let (from, to) = (number(0).min(number(1)), number(0).max(number(1)));
            pain.arc = Some(Arc { from, to });
        }
        Fill::Degrees => degrees(finding, None, number(0)),
        Fill::DegreesShort => towards_straight(grammar, finding, -number(0).abs())?,
        Fill::DegreesPast => towards_straight(grammar, finding, number(0).abs())?,
        Fill::Span if finding.mode == Some(Mode::Resisted) => {
            return Err("a resisted movement has one grade, not a span".into());
        }
        Fill::Span => {
            let (from, to) = (number(0).min(number(1)), number(0).max(number(1)));
            degrees(finding, Some(from), to);
        }
        Fill::Number => bare_number(finding, number(0)),
        Fill::Strength => {
            if let Some(value) = part.values.first() {
                strength(finding, grade(*value));
            }
        }
        Fill::Copy | Fill::Note | Fill::Control { .. } | Fill::Filler { .. } => {}
    }
    Ok(())
}

/// Puts all of `parts` into `finding`: first what was examined, as a number takes its meaning from it.
pub fn apply_all(grammar: &Grammar, finding: &mut Finding, parts: &[Part]) -> Result<(), String> {
    let mut ordered: Vec<&Part> = parts.iter().collect();
    ordered.sort_by_key(|part| match part.slot() {
        Slot::Joint => 0,
        slot if slot.is_context() => 1,
        // Whether pain is felt goes before how much and when.
        Slot::PainFelt => 2,
        _ => 3,
    });
    let had_pain = finding.pain.is_some();
    for part in ordered {
        apply(grammar, finding, part)?;
    }
    let said = |slot: Slot| parts.iter().any(|part| part.slot() == slot);
    if said(Slot::PainWhen)
        && !had_pain
        && !said(Slot::PainFelt)
        && !said(Slot::PainScore)
        && !said(Slot::PainArc)
    {
        return Err("a place in the range was said, but not what is there".into());
    }
    if parts.iter().any(|part| part.fill == Some(Fill::PainFelt(false))) {
        deny_pain(finding)?;
    }
    Ok(())
}

/// "No pain at end range": the place says where it was looked for.
fn deny_pain(finding: &mut Finding) -> Result<(), String> {
    let pain = pain(finding);
    if pain.score.is_some_and(|score| score > 0) || pain.arc.is_some() {
        return Err("pain and no pain were both said".into());
    }
    pain.felt = false;
    Ok(())
}

/// After the joint has changed: the movement that the same wording names there, "internal rotation" for one.
fn refit_movement(grammar: &Grammar, finding: &mut Finding) {
    let (Some(joint), Some(name)) = (&finding.joint, &finding.movement) else {
        return;
    };
    if grammar.movement(joint, name).is_some() {
        return;
    }
    let words: Vec<_> = name
        .split_whitespace()
        .map(|word| grammar.lexicon.number(word))
        .collect();
    let named = grammar
        .automaton
        .matches(&words, 0)
        .into_iter()
        .filter(|found| found.end == words.len());
    let here = named
        .filter_map(|found| match &grammar.automaton.fragment(found.fragment).fill {
            Fill::Movement(candidates) => Some(candidates),
            _ => None,
        })
        .flatten()
        .find(|(other, _)| grammar.joints[*other].name == *joint);
    if let Some(&(joint, movement)) = here {
        finding.movement = Some(grammar.joints[joint].movements[movement].name.clone());
    }
}

/// Names the movement that fits the joint. Without a joint, a wording that only one joint has brings its joint along.
fn name_movement(
    grammar: &Grammar,
    finding: &mut Finding,
    candidates: &[(usize, usize)],
) -> Result<(), String> {
    let name = |&(joint, movement): &(usize, usize)| grammar.joints[joint].movements[movement].name.clone();
    let here = finding.joint.as_deref();
    let fitting = candidates
        .iter()
        .find(|(joint, _)| Some(grammar.joints[*joint].name.as_str()) == here);
    match (fitting, candidates) {
        (Some(candidate), _) => finding.movement = Some(name(candidate)),
        (None, _) if here.is_some() => return Err("this joint does not make that movement".into()),
        (None, [only]) => {
            finding.joint = Some(grammar.joints[only.0].name.clone());
            finding.movement = Some(name(only));
        }
        // The joint will settle which of them it is.
        (None, several) => finding.movement = several.first().map(name),
    }
    Ok(())
}

fn pain(finding: &mut Finding) -> &mut Pain {
    finding.pain.get_or_insert(Pain {
        felt: true,
        score: None,
        when: None,
        arc: None,
    })
}

/// "Short of straight" and "past straight" are said of the movement that straightens, named or not.
fn towards_straight(grammar: &Grammar, finding: &mut Finding, to: i32) -> Result<(), String> {
    let here = finding.joint.as_deref();
    let joints = grammar
        .joints
        .iter()
        .filter(|joint| here.is_none_or(|here| here == joint.name));
    let mut names: Vec<&String> = joints
        .filter_map(|joint| Some(&joint.movements[joint.span?[0]].name))
        .collect();
    names.dedup();
    match (names.as_slice(), &finding.movement) {
        ([], _) => return Err("short of straight or past straight can't be said of this joint".into()),
        (names, Some(movement)) if !names.contains(&movement) => {
            return Err("short of straight or past straight can't be said of this movement".into());
        }
        ([only], None) => finding.movement = Some((*only).clone()),
        _ => {}
    }
    degrees(finding, None, to);
    Ok(())
}
