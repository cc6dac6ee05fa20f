//! The note itself: its sections, and what they refer to.

use serde_json::{Value, json};

use super::codes::loinc;
use super::names::Names;
use super::narrative::narrative;
use super::{Export, status};
use crate::readback::written;

/// Subjective, objective, assessment and plan; a section with nothing in it is left out.
pub fn composition(export: &Export<'_>, names: &Names, observations: &[Value], timestamp: &str) -> Value {
    let visit = export.visit;
    let details = &visit.details;
    let written: Vec<String> = visit
        .findings
        .iter()
        .map(|kept| written(export.grammar, &kept.finding))
        .collect();
    let text = |title: &str, text: &Option<String>| text.as_ref().map(|text| format!("{title}: {text}"));
    let plan: Vec<String> = [
        text("Treatment given", &details.treatment),
        text("Advice", &details.advice),
        text("Plan", &details.plan),
        text("To be tested again", &details.retest),
    ]
    .into_iter()
    .flatten()
    .collect();
    let sections = [
        section("Subjective", "61150-9", details.history.as_slice(), &[]),
        section("Objective", "61149-1", &written, observations),
        section("Assessment", "51848-0", details.assessment.as_slice(), &[]),
        section("Plan", "18776-5", &plan, &[]),
    ];
    json!({
        "resourceType": "Composition",
        "id": names.id("composition", 0),
        "text": narrative([format!("Note of the visit of {}", visit.date).as_str()]),
        "status": status(visit.signed.is_some(), visit.amended.is_some()),
        "type": { "coding": [loinc("11506-3")], "text": "Visit note" },
        "subject": { "reference": names.reference("patient", 0) },
        "encounter": { "reference": names.reference("encounter", 0) },
        "date": timestamp,
        "author": [{ "reference": names.reference("practitioner", 0) }],
        "title": "Visit note",
        "confidentiality": "N",
        "section": sections.into_iter().flatten().collect::<Vec<_>>(),
    })
}

fn section(title: &str, code: &str, text: &[String], observations: &[Value]) -> Option<Value> {
    if text.is_empty() {
        return None;
    }
    let mut section = json!({
        "title": title,
        "code": { "coding": [loinc(code)], "text": title },
        "text": narrative(text.iter().map(String::as_str)),
    });
    if !observations.is_empty() {
        let entries = observations.iter().filter_map(|one| one["id"].as_str());
        let entries = entries.map(|id| json!({ "reference": format!("urn:uuid:{id}") }));
        section["entry"] = Value::Array(entries.collect());
    }
    Some(section)
}
