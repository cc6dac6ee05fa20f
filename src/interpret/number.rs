//! Numbers put into a finding: degrees, grades, and a bare number that may be either.

use crate::finding::{Degrees, Doubt, Finding, Mode};
use crate::grammar::numbers::Value;

/// Names of the fields whose number a bare number can be; as the published JSON spells them.
const DEGREES: &str = "degrees";
const STRENGTH: &str = "strength";

/// Puts degrees in place of a grade.
pub fn degrees(finding: &mut Finding, from: Option<i32>, to: i32) {
    finding.degrees = Some(Degrees { from, to });
    finding.strength = None;
}

/// Puts a grade in place of degrees.
pub fn strength(finding: &mut Finding, grade: String) {
    finding.strength = Some(grade);
    finding.degrees = None;
}

/// A number with nothing beside it takes its meaning from the mode, or from what it replaces.
pub fn bare_number(finding: &mut Finding, number: i32) {
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
            Some(Mode::Resisted) => {
                finding.strength = None;
                finding.doubts.push(doubt(STRENGTH, as_grade(), as_degrees()));
            }
            // A negative number cannot be a grade.
            None if !(0..=10).contains(&number) => degrees(finding, None, number),
            None => {
                degrees(finding, None, number);
                finding.doubts.push(doubt(DEGREES, as_degrees(), as_grade()));
            }
        }
    }
}

/// The mode has been said after a bare number that was in doubt for the want of it: now it takes its meaning.
pub fn decide_number(finding: &mut Finding) {
    let open = |doubt: &Doubt| doubt.field == DEGREES && finding.mode.is_some();
    if let Some(Degrees { from: None, to }) = finding.degrees
        && finding.doubts.iter().any(open)
    {
        finding.doubts.retain(|doubt| doubt.field != DEGREES);
        finding.degrees = None;
        bare_number(finding, to);
    }
}

/// A grade as the published JSON spells it.
pub fn grade(value: Value) -> String {
    let sign = match value.sign {
        1 => "+",
        -1 => "-",
        _ => "",
    };
    format!("{}{sign}", value.number)
}
