//! One fragment put into a finding.

use crate::finding::{Arc, Degrees, Doubt, Finding, Mode, Pain};
use crate::grammar::Grammar;
use crate::grammar::fragment::Fill;
use crate::grammar::numbers::Value;

use super::cover::Part;

/// Names of the fields whose number a bare number can be; as the published JSON spells them.
const DEGREES: &str = "degrees";
const STRENGTH: &str = "strength";

/// Puts `part` into `finding`, over what was there. The joint, movement and mode must be in place before a number.
/// The error says why it can't be, in a therapist's words.
pub fn apply(grammar: &Grammar, finding: &mut Finding, part: &Part) -> Result<(), String> {
    let Some(fill) = &part.fill else { return Ok(()) };
    let number = |at: usize| part.values.get(at).map_or(0, |value| value.number);
    match fill {
        Fill::Side(side) => finding.side = Some(*side),
        Fill::Joint(joint) => finding.joint = Some(grammar.joints[*joint].name.clone()),
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
                pain(finding).felt = true;
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
            pain.arc = Some(Arc {
                from: number(0),
                to: number(1),
            });
        }
        Fill::Degrees => degrees(finding, None, number(0)),
        Fill::DegreesShort => towards_straight(grammar, finding, -number(0).abs())?,
        Fill::DegreesPast => towards_straight(grammar, finding, number(0).abs())?,
        Fill::Span => degrees(finding, Some(number(0)), number(1)),
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
        (None, several) => {
            // The name is known if every joint that it can mean calls it so; else the joint must be said first.
            let first = several.first().map(name);
            finding.movement =
                first.filter(|first| several.iter().all(|candidate| name(candidate) == *first));
        }
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

fn degrees(finding: &mut Finding, from: Option<i32>, to: i32) {
    finding.degrees = Some(Degrees { from, to });
    finding.strength = None;
}

fn strength(finding: &mut Finding, grade: String) {
    finding.strength = Some(grade);
    finding.degrees = None;
}

/// "Short of straight" and "past straight" are said of the movement that straightens, named or not.
fn towards_straight(grammar: &Grammar, finding: &mut Finding, to: i32) -> Result<(), String> {
    let joint = finding.joint.as_deref().and_then(|name| grammar.joint(name));
    if let Some(joint) = joint {
        let Some([straightens, _]) = joint.span else {
            return Err("short of straight or past straight can't be said of this joint".into());
        };
        let straightens = &joint.movements[straightens].name;
        if finding
            .movement
            .as_ref()
            .is_some_and(|movement| movement != straightens)
        {
            return Err("short of straight or past straight can't be said of this movement".into());
        }
        finding.movement = Some(straightens.clone());
    }
    degrees(finding, None, to);
    Ok(())
}

/// A number with nothing beside it takes its meaning from the mode, or from what it replaces.
fn bare_number(finding: &mut Finding, number: i32) {
    let is_grade = (0..=5).contains(&number);
    let doubt = |field: &str, said: String, or: String| Doubt {
        field: field.into(),
        said,
        or: vec![or],
    };
    let as_degrees = || format!("{number} {DEGREES}");
    let as_grade = || format!("{STRENGTH} {number}");
    if finding.degrees.is_some() {
        degrees(finding, None, number);
    } else if finding.strength.is_some() && is_grade {
        strength(finding, number.to_string());
    } else {
        match finding.mode {
            Some(Mode::Active | Mode::Passive) => degrees(finding, None, number),
            Some(Mode::Resisted) if is_grade => strength(finding, number.to_string()),
            Some(Mode::Resisted) => finding.doubts.push(doubt(STRENGTH, as_grade(), as_degrees())),
            // A negative number cannot be a grade.
            None if !(0..=10).contains(&number) => degrees(finding, None, number),
            None => {
                degrees(finding, None, number);
                finding.doubts.push(doubt(DEGREES, as_degrees(), as_grade()));
            }
        }
    }
}

fn grade(value: Value) -> String {
    let sign = match value.sign {
        1 => "+",
        -1 => "-",
        _ => "",
    };
    format!("{}{sign}", value.number)
}
