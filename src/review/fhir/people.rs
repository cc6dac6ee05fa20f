//! Whom a visit is of, who found it, where, and with what program.

use serde_json::{Value, json};

use super::Export;
use super::codes::{Codes, hl7};
use super::names::Names;
use super::narrative::narrative;
use crate::finding::word_of;

/// Patient, Practitioner, Encounter and Device.
pub fn all(export: &Export<'_>, names: &Names, codes: &Codes<'_>) -> [Value; 4] {
    [
        patient(export, names, codes),
        practitioner(export, names, codes),
        encounter(export, names),
        device(names),
    ]
}

fn patient(export: &Export<'_>, names: &Names, codes: &Codes<'_>) -> Value {
    let client = export.client;
    let mut patient = json!({
        "resourceType": "Patient",
        "id": names.id("patient", 0),
        "text": narrative([format!("Client {}", client.code).as_str()]),
        "identifier": [{ "use": "usual", "system": codes.naming("client"), "value": client.code }],
    });
    if export.with_name {
        if let Some(name) = &client.details.name {
            patient["name"] = json!([{ "text": name }]);
        }
        if let Some(sex) = client.details.sex {
            patient["gender"] = json!(word_of(sex));
        }
        if let Some(born) = client.details.born {
            patient["birthDate"] = json!(born.to_string());
        }
    }
    patient
}

/// Whoever acted last in the visit under a name; they all share the one record.
pub fn therapist<'a>(export: &Export<'a>) -> &'a str {
    let named = export.history.iter().rev().find_map(|done| done.who.as_deref());
    named.unwrap_or("therapist")
}

fn practitioner(export: &Export<'_>, names: &Names, codes: &Codes<'_>) -> Value {
    let therapist = therapist(export);
    json!({
        "resourceType": "Practitioner",
        "id": names.id("practitioner", 0),
        "text": narrative([format!("Therapist {therapist}").as_str()]),
        "identifier": [{ "system": codes.naming("therapist"), "value": therapist }],
    })
}

fn encounter(export: &Export<'_>, names: &Names) -> Value {
    let visit = export.visit;
    let mut period = json!({ "start": visit.opened });
    if let Some(signed) = &visit.signed {
        period["end"] = json!(signed);
    }
    json!({
        "resourceType": "Encounter",
        "id": names.id("encounter", 0),
        "text": narrative([format!("Visit of {}", visit.date).as_str()]),
        "status": if visit.signed.is_some() { "finished" } else { "in-progress" },
        "class": hl7("v3-ActCode", "AMB", "ambulatory"),
        "subject": { "reference": names.reference("patient", 0) },
        "period": period,
    })
}

fn device(names: &Names) -> Value {
    json!({
        "resourceType": "Device",
        "id": names.id("device", 0),
        "text": narrative(["couchside, which took down what was dictated"]),
        "deviceName": [{ "name": env!("CARGO_PKG_NAME"), "type": "model-name" }],
        "version": [{ "value": env!("CARGO_PKG_VERSION") }],
    })
}
