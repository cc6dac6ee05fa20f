//! Numbers put into a finding: degrees, grades, and a bare number that may be either.

use crate::finding::{Degrees, Doubt, Finding, Kind, Mode};
use crate::grammar::numbers::Value;
use crate::grammar::{Grammar, Scale};

use super::apply::add_sign;

/// Names of the fields whose number a bare number can be; as the published JSON spells them.
pub(super) const DEGREES: &str = "degrees";
pub(super) const STRENGTH: &str = "strength";

/// The highest grade of laxity.
const LAXEST: i32 = 3;
/// The highest grade of strength.
const STRONGEST: i32 = 5;

/// Puts degrees in place of a grade.
pub fn degrees(finding: &mut Finding, from: Option<i32>, to: i32) {
    finding.degrees = Some(Degrees { from, to });
    finding.strength = None;
}

/// Puts a grade in place of degrees.
fn strength(finding: &mut Finding, grade: String) {
    finding.strength = Some(grade);
    finding.degrees = None;
}

/// A number with nothing beside it, of whatever the finding is about.
pub fn amount(grammar: &Grammar, finding: &mut Finding, number: i32) -> Result<(), String> {
    match finding.kind {
        Kind::Movement | Kind::Pain => bare_number(finding, number),
        Kind::Muscle if (0..=STRONGEST).contains(&number) => strength(finding, number.to_string()),
        Kind::Muscle => finding.doubts.push(Doubt {
            field: STRENGTH.into(),
            said: format!("{STRENGTH} {number}"),
            or: vec![format!("{number} {DEGREES}")],
        }),
        Kind::Test => of_test(grammar, finding, number)?,
        Kind::Girth if number > 0 => finding.girth_cm = Some(f64::from(number)),
        _ => return Err("a number was said that belongs to nothing that was named".into()),
    }
    Ok(())
}

/// A grade with or without plus or minus, of whatever the finding is about.
pub fn graded(grammar: &Grammar, finding: &mut Finding, value: Value) -> Result<(), String> {
    let scale = finding
        .test
        .as_deref()
        .and_then(|test| grammar.test(test)?.scale.as_ref());
    match (finding.kind, scale) {
        (Kind::Movement | Kind::Muscle, _) => strength(finding, grade(value)),
        // One plus, two plus and three plus are other names of the grades.
        (Kind::Test, Some(Scale::Laxity)) if value.sign >= 0 => of_test(grammar, finding, value.number)?,
        (Kind::Test, Some(Scale::Count(_))) if value.sign == 0 => of_test(grammar, finding, value.number)?,
        (Kind::Test, Some(Scale::Unit(_))) if value.sign >= 0 => of_test(grammar, finding, value.number)?,
        (Kind::Test, None) => strength(finding, grade(value)),
        (Kind::Palpation, _) => {
            let sign = grammar.readback.finding.strength.replace("{}", &grade(value));
            add_sign(finding, &sign);
        }
        _ => return Err("a grade like that can't be said of what was named".into()),
    }
    Ok(())
}

/// A grade of strength that was said in words.
pub fn in_words(finding: &mut Finding, grade: &str) -> Result<(), String> {
    if !matches!(finding.kind, Kind::Movement | Kind::Muscle) {
        return Err("a grade like that can't be said of what was named".into());
    }
    strength(finding, grade.into());
    Ok(())
}

/// A number after a test's name means what the test is measured in.
fn of_test(grammar: &Grammar, finding: &mut Finding, number: i32) -> Result<(), String> {
    let scale = finding
        .test
        .as_deref()
        .and_then(|test| grammar.test(test)?.scale.as_ref());
    match scale {
        Some(Scale::Laxity) if (0..=LAXEST).contains(&number) => {
            finding.laxity = u8::try_from(number).ok();
        }
        Some(Scale::Laxity) => return Err(format!("laxity is graded from 0 to {LAXEST}, not {number}")),
        Some(Scale::Degrees) => degrees(finding, None, number),
        Some(Scale::Count(most)) if (0..=*most).contains(&number) => {
            add_sign(finding, &format!("{number} of {most}"));
        }
        Some(Scale::Count(most)) => return Err(format!("there are {most} of them, not {number}")),
        Some(Scale::Unit(template)) => add_sign(finding, &template.replace("{}", &number.to_string())),
        None => return Err("this test has no number: say what its result was".into()),
    }
    Ok(())
}

/// A number with nothing beside it takes its meaning from the mode, or from what it replaces.
fn bare_number(finding: &mut Finding, number: i32) {
    let is_grade = (0..=STRONGEST).contains(&number);
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
fn grade(value: Value) -> String {
    let sign = match value.sign {
        1 => "+",
        -1 => "-",
        _ => "",
    };
    format!("{}{sign}", value.number)
}
