//! Findings as Observations: one for each side, with the grade of strength and the score of pain as ones of their own.

use serde_json::{Value, json};

use super::codes::{Codes, hl7, loinc};
use super::names::Names;
use super::narrative::narrative;
use super::value::{components, set_value};
use super::{Export, status};
use crate::finding::{Finding, Side, word_of};
use crate::readback::written;
use crate::record::Kept;
use crate::review::compare::usual;
use crate::review::rows::examined;

/// What an observation tells of a finding.
const PARTS: [&str; 3] = ["finding", "strength", "pain"];
const SIDES: [Option<Side>; 3] = [None, Some(Side::Left), Some(Side::Right)];

/// The names that observations of a finding may have.
pub fn ids(names: &Names, finding: i64) -> Vec<String> {
    let each = |part| SIDES.map(|side| id(names, part, finding, side));
    PARTS.into_iter().flat_map(each).collect()
}

fn id(names: &Names, part: &str, finding: i64, side: Option<Side>) -> String {
    let side = side.map(word_of).unwrap_or_default();
    names.id(&format!("{part} {side}"), finding)
}

/// Of every finding of the visit, in order.
pub fn all(export: &Export<'_>, names: &Names, codes: &Codes<'_>) -> Vec<Value> {
    let each = |kept: &Kept| {
        let sides: &[Option<Side>] = match kept.finding.side {
            None => &[None],
            Some(Side::Left) => &[Some(Side::Left)],
            Some(Side::Right) => &[Some(Side::Right)],
            Some(Side::Both) => &[Some(Side::Left), Some(Side::Right)],
        };
        sides
            .iter()
            .flat_map(|side| of_side(export, names, codes, kept, *side))
            .collect::<Vec<_>>()
    };
    export.visit.findings.iter().flat_map(each).collect()
}

fn of_side(
    export: &Export<'_>,
    names: &Names,
    codes: &Codes<'_>,
    kept: &Kept,
    side: Option<Side>,
) -> Vec<Value> {
    let finding = &kept.finding;
    let base = |part: &str| bare(export, names, codes, kept, side, part);
    let mut main = base("finding");
    main["code"] = code(codes, finding, side, "");
    set_value(&mut main, codes, finding);
    let components = components(codes, finding);
    if !components.is_empty() {
        main["component"] = Value::Array(components);
    }
    if let Some(usual) = usual(export.grammar, finding).filter(|_| finding.degrees.is_some()) {
        main["referenceRange"] = json!([{
            "low": degrees(usual.from),
            "high": degrees(usual.to),
            "type": { "coding": [hl7("referencerange-meaning", "normal", "Normal Range")], "text": "Usual range of adults" },
            "text": format!("{} ({}). Sources differ; no limit of what is normal.", usual.source, usual.status),
        }]);
    }
    let mut all = vec![main];
    let from = json!([{ "reference": format!("urn:uuid:{}", id(names, "finding", kept.id, side)) }]);
    if let Some(grade) = &finding.strength {
        let mut strength = base("strength");
        strength["code"] = code(codes, finding, side, "strength");
        strength["valueCodeableConcept"] =
            codes.own("manual-muscle-testing-grade", &[grade], &format!("grade {grade}"));
        strength["derivedFrom"] = from.clone();
        all.push(strength);
    }
    if let Some(score) = finding.pain.as_ref().and_then(|pain| pain.score) {
        let mut pain = base("pain");
        pain["code"] = json!({ "coding": [loinc("72514-3")], "text": "Pain, 0 to 10" });
        pain["valueQuantity"] = json!({
            "value": score, "unit": "out of 10", "system": super::codes::UCUM, "code": "{score}",
        });
        pain["derivedFrom"] = from;
        all.push(pain);
    }
    all
}

/// All but code and value.
fn bare(
    export: &Export<'_>,
    names: &Names,
    codes: &Codes<'_>,
    kept: &Kept,
    side: Option<Side>,
    part: &str,
) -> Value {
    let finding = &kept.finding;
    let mut bare = json!({
        "resourceType": "Observation",
        "id": id(names, part, kept.id, side),
        "text": narrative([written(export.grammar, finding).as_str()]),
        "status": status(export.visit.signed.is_some(), kept.amended.is_some()),
        "category": [{ "coding": [hl7("observation-category", "exam", "Exam")] }],
        "code": Value::Null,
        "subject": { "reference": names.reference("patient", 0) },
        "encounter": { "reference": names.reference("encounter", 0) },
        "effectiveDateTime": kept.at,
        "performer": [{ "reference": names.reference("practitioner", 0) }],
        "note": [{ "time": kept.at, "text": format!("Heard: {}", kept.heard) }],
    });
    let test = finding.test.as_deref().and_then(|name| export.grammar.test(name));
    let of_test = test
        .filter(|test| test.joints.len() == 1)
        .map(|test| &test.joints[0]);
    let place = [
        &finding.joint,
        &finding.structure,
        &finding.muscle,
        &finding.level,
    ];
    let place = place.into_iter().flatten().next().or(of_test).cloned();
    let side = side.map(word_of);
    if place.is_some() || side.is_some() {
        let parts: Vec<&str> = place.as_deref().into_iter().chain(side.as_deref()).collect();
        let words: Vec<&str> = side.as_deref().into_iter().chain(place.as_deref()).collect();
        bare["bodySite"] = codes.own("body-site", &parts, &words.join(" "));
    }
    if let Some(mode) = finding.mode.map(word_of) {
        bare["method"] = codes.own("motion-mode", &[&mode], &mode);
    }
    bare
}

/// What is observed: `about` is what of it, where that is not the whole.
fn code(codes: &Codes<'_>, finding: &Finding, side: Option<Side>, about: &str) -> Value {
    let kind = word_of(finding.kind);
    let name = examined(finding);
    let mode = finding.mode.map(word_of);
    let parts = finding.joint.iter().map(String::as_str).chain([name.as_str()]);
    let parts = parts
        .chain(mode.as_deref())
        .chain(Some(about).filter(|about| !about.is_empty()));
    let parts: Vec<&str> = parts.collect();
    let mut code = codes.own(&format!("examined-{kind}"), &parts, &parts.join(" "));
    let of_range = codes
        .fhir
        .loinc(finding, side)
        .filter(|_| about.is_empty() && finding.degrees.is_some());
    if let (Some(known), Some(codings)) = (of_range, code["coding"].as_array_mut()) {
        codings.push(loinc(known));
    }
    code
}

/// As a quantity.
pub fn degrees(degrees: i32) -> Value {
    json!({ "value": degrees, "unit": "degrees", "system": super::codes::UCUM, "code": "deg" })
}
