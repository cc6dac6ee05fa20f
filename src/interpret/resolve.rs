//! A draft and what carries over → findings, with what is still missing.

use crate::finding::{Degrees, Finding, Kind, Mode, Side};
use crate::grammar::Grammar;
use crate::grammar::fragment::{Fill, Slot};

use super::apply::{Surroundings, apply_all};
use super::carry::carry;
use super::context::{Context, same_place};
use super::cover::Part;
use super::finish::finish;
use super::reckon::{copy_results, reckon};

/// What a draft says.
#[derive(Default)]
pub struct Resolved {
    pub findings: Vec<Finding>,
    /// The finding that a number was reckoned from.
    pub from: Option<Finding>,
}

/// The findings of a draft: one, or more where a span runs through zero or something is said of the part beside its
/// movement. The error says why there is none.
pub fn resolve(
    grammar: &Grammar,
    draft: &[Part],
    words: &[String],
    context: &Context,
) -> Result<Resolved, String> {
    let (beside, own) = apart(draft);
    let mut resolved = Resolved::default();
    let subject = own.iter().find(|part| part.slot().is_subject());
    let felt = subject.is_some_and(|part| part.slot() != Slot::Movement);
    if beside.is_empty() || felt || own.iter().any(|part| part.slot().is_result()) {
        let draft = if felt { draft } else { &own };
        resolved = about_one(grammar, draft, context)?;
    }
    let findings = &mut resolved.findings;
    if !felt {
        let mut then = context.clone();
        findings.iter().for_each(|finding| then.follow(finding));
        let place = |part: &&Part| matches!(part.slot(), Slot::Side | Slot::Joint | Slot::Level);
        let places: Vec<Part> = own.iter().filter(place).cloned().collect();
        let of = |slot: Slot| -> Vec<Part> {
            let more = |part: &Part| slot == Slot::LocalSign && part.slot() == Slot::Sign;
            let signs = beside.iter().filter(|part| part.slot() == slot || more(part));
            places.iter().chain(signs).cloned().collect()
        };
        if beside.iter().any(|part| part.slot() == Slot::LocalSign) {
            findings.extend(about_one(grammar, &of(Slot::LocalSign), &then)?.findings);
        }
        if beside.iter().any(|part| part.slot() == Slot::Observation) {
            let said = if findings.is_empty() { draft } else { &beside };
            findings.push(observed(grammar, &of(Slot::Observation), said, words, context)?);
        }
    }
    Ok(resolved)
}

/// What is said of the part beside its movement, and the rest. A sign right after such a sign ("swollen laterally") goes
/// with it, if no movement is named.
fn apart(draft: &[Part]) -> (Vec<Part>, Vec<Part>) {
    let moves = draft
        .iter()
        .any(|part| part.slot().is_subject() || part.slot() == Slot::Mode);
    let (mut beside, mut own): (Vec<Part>, Vec<Part>) = (Vec::new(), Vec::new());
    for part in draft {
        let goes_on = part.slot() == Slot::Sign
            && !moves
            && beside
                .last()
                .is_some_and(|before| before.slot() != Slot::Observation && before.span.1 == part.span.0);
        if goes_on || matches!(part.slot(), Slot::LocalSign | Slot::Observation) {
            beside.push(part.clone());
        } else {
            own.push(part.clone());
        }
    }
    (beside, own)
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

fn about_one(grammar: &Grammar, draft: &[Part], context: &Context) -> Result<Resolved, String> {
    let mut finding = Finding::new(Kind::Movement);
    let said = |slot: Slot| draft.iter().any(|part| part.slot() == slot);
    carry(grammar, &mut finding, draft, context)?;
    let (named, mut found): (Vec<Part>, Vec<Part>) =
        draft.iter().cloned().partition(|part| part.slot().is_context());
    let around = around(grammar, draft, context);
    apply_all(&around, &mut finding, &named)?;
    if draft.iter().any(|part| part.fill == Some(Fill::Tender(true))) {
        found.iter_mut().for_each(scored);
    }
    let from = reckon(&mut finding, &mut found, &named, context)?;
    if said(Slot::Copy) {
        let from = context.last.as_ref().filter(|last| last.has_result());
        let from = from.ok_or("there is no finding before this one to copy")?;
        // "Equal on both sides": the side that was measured, and now the other.
        if finding.side == Some(Side::Both)
            && let Some(other) = from.side.and_then(Side::opposite)
        {
            finding.side = Some(other);
        }
        if same_place(from, &finding) {
            return Err("that would copy the finding before onto itself".into());
        }
        copy_results(from, &mut finding);
    }
    if found.iter().any(|part| part.fill == Some(Fill::CopyEndFeel)) {
        let end_feel = context.last.as_ref().and_then(|last| last.end_feel.clone());
        finding.end_feel = Some(end_feel.ok_or("the finding before has no end feel to copy")?);
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
    if finding.kind == Kind::Movement
        && finding.strength.is_some()
        && !said(Slot::Mode)
        && finding.mode != Some(Mode::Resisted)
    {
        // Nobody grades what they move themselves: the mode of the finding before does not carry over to a grade.
        finding.mode = None;
    }
    if finding.kind == Kind::Muscle && draft.iter().any(is_felt) && !is_graded(&finding) {
        finding.kind = Kind::Palpation;
        finding.structure = finding.muscle.take();
    }
    let mut findings: Vec<Finding> = before.into_iter().chain([finding]).collect();
    for finding in &mut findings {
        finish(grammar, finding)?;
    }
    Ok(Resolved { findings, from })
}

/// "Tender five": what is felt with the fingers has a score, and nothing else that a bare number could be.
fn scored(part: &mut Part) {
    let score = part
        .values
        .iter()
        .all(|value| (0..=MOST_SCORE).contains(&value.number));
    if part.fill == Some(Fill::Number) && score {
        part.fill = Some(Fill::PainScore);
    }
}

/// The highest score of pain.
const MOST_SCORE: i32 = 10;

/// Found with the fingers.
fn is_felt(part: &Part) -> bool {
    matches!(part.fill, Some(Fill::Tender(_) | Fill::LocalSign(_)))
}

/// Found by resisting it.
fn is_graded(finding: &Finding) -> bool {
    finding.strength.is_some() || finding.power.is_some() || finding.mode.is_some()
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
