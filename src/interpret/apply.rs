//! One fragment put into a finding.

use crate::finding::{Arc, Finding, Kind, Mode, Pain};
use crate::grammar::Grammar;
use crate::grammar::fragment::{Fill, Slot};

use super::cover::Part;
use super::number::{amount, degrees, graded, in_words};
use super::{reckon, subject};

/// What `apply` may look at besides the finding.
pub struct Surroundings<'a> {
    pub grammar: &'a Grammar,
    /// The joint at hand, said or not: it decides between tests that share a name.
    pub joint: Option<&'a str>,
}

/// Puts `part` into `finding`, over what was there. What was examined must be in place before a number.
/// The error says why it can't be, in a therapist's words.
fn apply(around: &Surroundings<'_>, finding: &mut Finding, part: &Part) -> Result<(), String> {
    let Some(fill) = &part.fill else { return Ok(()) };
    let grammar = around.grammar;
    let number = |at: usize| part.values.get(at).map_or(0, |value| value.number);
    match fill {
        Fill::Side(side) => finding.side = Some(*side),
        Fill::Joint(joint) => subject::name_joint(grammar, finding, *joint),
        Fill::Movement(candidates) => subject::name_movement(grammar, finding, candidates)?,
        Fill::Muscle { candidates, level } => {
            subject::name_muscle(grammar, finding, candidates, level.as_ref(), around.joint)?
        }
        Fill::Test(candidates) => subject::name_test(grammar, finding, candidates, around.joint)?,
        Fill::Structure(structure) => subject::name_structure(finding, structure),
        Fill::Girth(part) => subject::name_girth(finding, part),
        Fill::Level(level) => join_level(finding, level),
        Fill::LevelAt(template) => join_level(finding, &reckon::fill_in(template, &part.values)),
        Fill::Mode(mode) => finding.mode = Some(*mode),
        Fill::Range(range) => finding.range = Some(range.clone()),
        Fill::EndFeel(end_feel) => finding.end_feel = Some(end_feel.clone()),
        Fill::Power(power) => finding.power = Some(power.clone()),
        Fill::ResultOf(tests) => {
            let of = |(test, _): &&(usize, String)| Some(&grammar.tests[*test].name) == finding.test.as_ref();
            let (_, result) = tests
                .iter()
                .find(of)
                .ok_or("a result like that is not said of what was named")?;
            finding.result = Some(result.clone());
        }
        Fill::Result(_) if finding.kind != Kind::Test => {
            return Err("a result like that is said of a test, and no test was named".into());
        }
        Fill::Result(result) => finding.result = Some(result.clone()),
        Fill::Sign(sign) | Fill::LocalSign(sign) | Fill::Observation(sign) | Fill::Position(sign) => {
            add_sign(finding, sign)
        }
        Fill::RangeSign { range, sign } => {
            finding.range.get_or_insert_with(|| range.clone());
            add_sign(finding, sign);
        }
        Fill::PainSign(sign) => {
            feel_pain(finding);
            add_sign(finding, sign);
        }
        Fill::Landmark(mark) => {
            if finding.kind != Kind::Movement || !reckon::by_marks(grammar, finding) {
                return Err("this movement is not measured by a mark on the body".into());
            }
            add_sign(finding, mark);
        }
        Fill::PainFelt(true) | Fill::Tender(true) => feel_pain(finding),
        // Where there are two findings, it has become this of each.
        Fill::PainOfNeither => return Err("neither of what? say it of each".into()),
        Fill::PainFelt(false) | Fill::Tender(false) => {
            finding.pain = Some(Pain {
                felt: false,
                score: None,
                when: None,
                arc: None,
            });
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
        Fill::PainArc => feel_arc(finding, number(0), number(1)),
        Fill::Degrees => degrees(finding, None, number(0)),
        Fill::Neutral => degrees(finding, None, 0),
        Fill::DegreesShort => towards_straight(grammar, finding, -number(0).abs())?,
        Fill::DegreesPast => towards_straight(grammar, finding, number(0).abs())?,
        Fill::Span if finding.mode == Some(Mode::Resisted) => {
            return Err("a resisted movement has one grade, not a span".into());
        }
        // Of a test: where it hurts.
        Fill::Span if finding.kind == Kind::Test => feel_arc(finding, number(0), number(1)),
        Fill::Span => {
            let (from, to) = (number(0).min(number(1)), number(0).max(number(1)));
            degrees(finding, Some(from), to);
        }
        Fill::About(sign) => {
            amount(grammar, finding, number(0))?;
            add_sign(finding, sign);
        }
        Fill::Number => amount(grammar, finding, number(0))?,
        Fill::Measure(template) => reckon::measure(grammar, finding, template, &part.values)?,
        Fill::Grade(grade) => in_words(finding, grade)?,
        Fill::Strength => {
            if let Some(value) = part.values.first() {
                graded(grammar, finding, *value)?;
            }
        }
        // Reckoned from another finding, or taken from it.
        Fill::More | Fill::Less | Fill::As(_) | Fill::OtherSide | Fill::CopyEndFeel => {}
        Fill::Copy | Fill::Ask(_) | Fill::Note | Fill::Control { .. } | Fill::Cue | Fill::Filler { .. } => {}
    }
    Ok(())
}

/// Puts all of `parts` into `finding`: first what was examined, as a number takes its meaning from it.
pub fn apply_all(around: &Surroundings<'_>, finding: &mut Finding, parts: &[Part]) -> Result<(), String> {
    let mut ordered: Vec<&Part> = parts.iter().collect();
    ordered.sort_by_key(|part| match part.slot() {
        Slot::Joint => 0,
        slot if slot.is_subject() => 1,
        slot if slot.is_context() => 2,
        // Whether pain is felt goes before how much and when.
        Slot::PainFelt => 3,
        _ => 4,
    });
    let had_pain = finding.pain.is_some();
    let (named, found): (Vec<&Part>, Vec<&Part>) =
        ordered.into_iter().partition(|part| part.slot().is_context());
    for part in named {
        apply(around, finding, part)?;
    }
    subject::fit_joint_to_level(around.grammar, finding);
    for part in found {
        apply(around, finding, part)?;
    }
    let said = |slot: Slot| parts.iter().any(|part| part.slot() == slot);
    let pain_sign = |part: &Part| matches!(part.fill, Some(Fill::PainSign(_)));
    if said(Slot::PainWhen)
        && !had_pain
        && !said(Slot::PainFelt)
        && !said(Slot::PainScore)
        && !said(Slot::PainArc)
        && !parts.iter().any(pain_sign)
    {
        return Err("a place in the range was said, but not what is there".into());
    }
    let denied = |part: &Part| matches!(part.fill, Some(Fill::PainFelt(false) | Fill::Tender(false)));
    if parts.iter().any(denied) {
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

/// Pain between two angles, whichever was said first.
fn feel_arc(finding: &mut Finding, one: i32, other: i32) {
    let pain = pain(finding);
    pain.felt = true;
    pain.arc = Some(Arc {
        from: one.min(other),
        to: one.max(other),
    });
}

fn feel_pain(finding: &mut Finding) {
    let pain = pain(finding);
    pain.felt = true;
    pain.score = pain.score.filter(|score| *score > 0);
}

fn pain(finding: &mut Finding) -> &mut Pain {
    finding.pain.get_or_insert(Pain {
        felt: true,
        score: None,
        when: None,
        arc: None,
    })
}

pub fn add_sign(finding: &mut Finding, sign: &str) {
    if !finding.signs.iter().any(|known| known == sign) {
        finding.signs.push(sign.into());
    }
}

/// Which digit; or, of a part that is measured around, at which height of it.
fn join_level(finding: &mut Finding, level: &str) {
    finding.level = Some(match (&finding.level, finding.kind) {
        (Some(part), Kind::Girth) => format!("{}, {level}", part.split(", ").next().unwrap_or(part)),
        _ => level.into(),
    });
}

/// "Short of straight" and "past straight" are said of the movement that straightens, named or not.
fn towards_straight(grammar: &Grammar, finding: &mut Finding, to: i32) -> Result<(), String> {
    if finding.kind != Kind::Movement {
        degrees(finding, None, to);
        return Ok(());
    }
    let here = finding.joint.as_deref();
    let joints = grammar
        .joints
        .iter()
        .filter(|joint| here.is_none_or(|here| here == joint.name));
    let mut names: Vec<&String> = joints
        .filter_map(|joint| Some(&joint.movements[joint.span?[0]].name))
        .collect();
    names.sort_unstable();
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
