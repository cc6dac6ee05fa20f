//! Who dictated and confirmed it, with what program, and what was changed after the sign-off.

use serde_json::{Value, json};

use super::Export;
use super::codes::hl7;
use super::names::Names;
use super::narrative::narrative;

/// Of the note with all that is in it; and of each finding that was amended.
pub fn all(export: &Export<'_>, names: &Names, observations: &[Value], timestamp: &str) -> Vec<Value> {
    let ids = observations.iter().filter_map(|one| one["id"].as_str());
    let mut targets = vec![json!({ "reference": names.reference("composition", 0) })];
    targets.extend(ids.map(|id| json!({ "reference": format!("urn:uuid:{id}") })));
    let mut all = vec![json!({
        "resourceType": "Provenance",
        "id": names.id("provenance", 0),
        "text": narrative(["Dictated, said back and confirmed, or typed, by the therapist"]),
        "target": targets,
        "recorded": timestamp,
        "activity": { "coding": [hl7("v3-DataOperation", "CREATE", "create")] },
        "agent": agents(names),
    })];
    for kept in &export.visit.findings {
        let Some(at) = &kept.amended else { continue };
        let reason = export
            .history
            .iter()
            .rev()
            .find(|done| done.id == Some(kept.id))
            .and_then(|done| done.why.clone());
        let said = match &reason {
            Some(reason) => format!("Changed after the visit was signed off: {reason}"),
            None => "Changed after the visit was signed off".to_owned(),
        };
        all.push(json!({
            "resourceType": "Provenance",
            "id": names.id("amended", kept.id),
            "text": narrative([said.as_str()]),
            "target": targets_of(names, kept.id, observations),
            "recorded": at,
            "activity": { "coding": [hl7("v3-DataOperation", "UPDATE", "revise")] },
            "agent": agents(names),
        }));
    }
    all
}

/// The observations that a finding is told by.
fn targets_of(names: &Names, finding: i64, observations: &[Value]) -> Vec<Value> {
    let there: Vec<&str> = observations.iter().filter_map(|one| one["id"].as_str()).collect();
    super::observation::ids(names, finding)
        .into_iter()
        .filter(|id| there.contains(&id.as_str()))
        .map(|id| json!({ "reference": format!("urn:uuid:{id}") }))
        .collect()
}

fn agents(names: &Names) -> Value {
    let types = "provenance-participant-type";
    json!([
        {
            "type": { "coding": [hl7(types, "author", "Author")] },
            "who": { "reference": names.reference("practitioner", 0) },
        },
        {
            "type": { "coding": [hl7(types, "assembler", "Assembler")] },
            "who": { "reference": names.reference("device", 0) },
        },
    ])
}
