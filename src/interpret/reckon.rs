//! Numbers that are reckoned from other findings, and numbers that are kept in words.

use crate::finding::{Degrees, Doubt, Finding, Kind};
use crate::grammar::fragment::{Fill, Slot};
use crate::grammar::numbers::Value;
use crate::grammar::{Grammar, Scale};

use super::apply::add_sign;
use super::context::{Context, same_place};
use super::cover::Part;
use super::number::{DEGREES, STRENGTH, degrees};

/// The words in which a number is kept whose unit was not said.
const NO_UNIT: &str = "{}";

/// A whole number, with tenths where a second one was said.
fn decimal(values: &[Value]) -> String {
    let whole = values.first().map_or(0, |value| value.number);
    match values.get(1) {
        Some(tenths) => format!("{whole}.{}", tenths.number),
        None => whole.to_string(),
    }
}

/// A number put into the words in which it is kept.
pub fn fill_in(template: &str, values: &[Value]) -> String {
    template.replace("{}", &decimal(values))
}

/// Each number put into its own place in the words.
pub fn fill_in_each(template: &str, values: &[Value]) -> String {
    values.iter().fold(template.into(), |words: String, value| {
        words.replacen("{}", &value.number.to_string(), 1)
    })
}

/// A number with its unit: how far around a part is, or a measure of a test, kept as a sign.
pub fn measure(
    grammar: &Grammar,
    finding: &mut Finding,
    template: &str,
    values: &[Value],
) -> Result<(), String> {
    match finding.kind {
        Kind::Girth => finding.girth_cm = decimal(values).parse().ok().filter(|cm| *cm > 0.0),
        Kind::Test | Kind::Movement | Kind::Muscle if template == NO_UNIT => {
            let test = finding.test.as_deref().and_then(|test| grammar.test(test));
            match test.and_then(|test| test.scale.as_ref()) {
                Some(Scale::Unit(template)) => add_sign(finding, &fill_in(template, values)),
                _ => return Err("a number with a point needs its unit here".into()),
            }
        }
        Kind::Movement if !by_marks(grammar, finding) => {
            return Err("a measure like that is not taken of this movement".into());
        }
        Kind::Test | Kind::Movement | Kind::Muscle => add_sign(finding, &fill_in(template, values)),
        _ => return Err("a measure like that is said of a test or of a girth".into()),
    }
    Ok(())
}

/// How far the movement goes may be said by a mark on the body, or by the distance from one.
pub fn by_marks(grammar: &Grammar, finding: &Finding) -> bool {
    let named = finding.joint.as_deref().zip(finding.movement.as_deref());
    let movement = named.and_then(|(joint, name)| grammar.movement(joint, name));
    movement.is_none_or(|movement| movement.landmarks)
}

/// "Left ten less", "passive gains ten", "left as right minus ten": the number that it comes to, and the finding that it comes
/// from. Nothing is done where nothing of that kind was said. The error says what it can't be reckoned from.
pub fn reckon(
    finding: &mut Finding,
    found: &mut Vec<Part>,
    named: &[Part],
    context: &Context,
) -> Result<Option<Finding>, String> {
    let side = named.iter().find_map(|part| match part.fill {
        Some(Fill::As(side)) => Some(side),
        _ => None,
    });
    let relative = found.iter().position(|part| match part.fill {
        Some(Fill::More | Fill::Less) => true,
        Some(Fill::Number | Fill::Degrees) => {
            side.is_some() && part.values.iter().any(|value| value.number < 0)
        }
        _ => false,
    });
    if side.is_none() && relative.is_none() {
        return Ok(None);
    }
    // "Compared with the left ten less" is said of the other side.
    if let Some(side) = side
        && !named.iter().any(|part| part.slot() == Slot::Side)
    {
        finding.side = side.opposite();
    }
    let said = |slot: Slot| named.iter().any(|part| part.slot() == slot);
    let from = if side.is_some() || said(Slot::Side) {
        context.beside(finding, side)
    } else {
        context
            .other_mode(finding)
            .or_else(|| context.beside(finding, None))
    };
    let from = from
        .filter(|from| !same_place(from, finding))
        .ok_or("there is no finding to reckon that from: say the number")?;
    let Some(at) = relative else {
        if found.is_empty() {
            copy_results(from, finding);
        }
        return Ok(None);
    };
    let part = found.remove(at);
    let by = part.values.first().map_or(0, |value| value.number.abs());
    let by = if matches!(part.fill, Some(Fill::More)) {
        by
    } else {
        -by
    };
    match &from.degrees {
        Some(Degrees { from: None, to }) => degrees(finding, None, to + by),
        _ => return Err("the finding before has no single number to reckon from: say the number".into()),
    }
    Ok(Some(from.clone()))
}

/// Every result of another finding.
pub fn copy_results(from: &Finding, to: &mut Finding) {
    to.degrees = from.degrees.clone();
    to.range = from.range.clone();
    to.pain = from.pain.clone();
    to.end_feel = from.end_feel.clone();
    to.strength = from.strength.clone();
    to.power = from.power.clone();
    to.result = from.result.clone();
    to.laxity = from.laxity;
    to.girth_cm = from.girth_cm;
    to.signs = from.signs.clone();
    // A result in doubt is no surer for being copied.
    let of_result = |doubt: &&Doubt| [DEGREES, STRENGTH].contains(&doubt.field.as_str());
    to.doubts.extend(from.doubts.iter().filter(of_result).cloned());
}
