//! A visit as a FHIR R4 (4.0.1) document: one Bundle, complete in itself.
//!
//! The same record gives the same bytes. The client is a code unless the name is asked for; codes are the program's own, LOINC beside them
//! where they were seen, units are UCUM. Written by hand and checked by other programs (`tests/outside/fhir`).

mod codes;
mod composition;
mod names;
mod narrative;
mod observation;
mod people;
mod provenance;
mod value;

use serde_json::{Value, json};

use crate::grammar::Grammar;
use crate::record::{Client, Done, Visit};

pub use codes::{Mapping, OwnCodes};

use codes::Codes;
use names::Names;

/// What is exported.
pub struct Export<'a> {
    pub grammar: &'a Grammar,
    pub client: &'a Client,
    pub visit: &'a Visit,
    /// What was done for the client, in order.
    pub history: &'a [Done],
    /// What tells this record from others: the hash of its first act.
    pub record: &'a str,
    /// Name, year of birth and sex of the client go too.
    pub with_name: bool,
    /// Codes of the therapist's own choice, beside the program's.
    pub own: &'a OwnCodes,
}

/// The document, as JSON.
pub fn bundle(export: &Export<'_>) -> Value {
    let names = Names::new(export.record, export.visit.number);
    let codes = Codes::new(&export.grammar.facts.fhir, export.own);
    let timestamp = last_change(export);
    let observations = observation::all(export, &names, &codes);
    let mut entries = vec![composition::composition(export, &names, &observations, timestamp)];
    entries.extend(people::all(export, &names, &codes));
    let revised = provenance::all(export, &names, &observations, timestamp);
    entries.extend(observations);
    entries.extend(revised);
    let entries: Vec<Value> = entries
        .into_iter()
        .map(|resource| {
            let id = resource["id"].as_str().unwrap_or_default();
            json!({ "fullUrl": format!("urn:uuid:{id}"), "resource": resource })
        })
        .collect();
    json!({
        "resourceType": "Bundle",
        "id": names.id("bundle", 0),
        "language": "en",
        "identifier": { "system": "urn:ietf:rfc:3986", "value": names.reference("bundle", 0) },
        "type": "document",
        "timestamp": timestamp,
        "entry": entries,
    })
}

/// When the visit was last written to: the document is of that moment, whenever it is made.
fn last_change<'a>(export: &Export<'a>) -> &'a str {
    let visit = export.visit;
    let findings = visit.findings.iter().map(|kept| kept.at.as_str());
    let moments = findings
        .chain(visit.signed.as_deref())
        .chain(visit.amended.as_deref())
        .chain([visit.opened.as_str()]);
    // All are UTC and written alike.
    moments.max().unwrap_or_default()
}

/// `preliminary` until the visit is signed off, `amended` once something was changed after that.
fn status(signed: bool, amended: bool) -> &'static str {
    match (signed, amended) {
        (false, _) => "preliminary",
        (true, false) => "final",
        (true, true) => "amended",
    }
}
