//! Codes: the program's own, and those that a therapist sets beside them.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use crate::grammar::facts::Fhir;
use crate::own_file::{OwnFileError, read};

const LOINC: &str = "http://loinc.org";
const HL7: &str = "http://terminology.hl7.org/CodeSystem";
pub const UCUM: &str = "http://unitsofmeasure.org";

/// Codes of other systems for the program's own: `codes.toml` in the folder of the record.
#[derive(Clone, Debug, Default, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct OwnCodes {
    #[serde(default)]
    pub code: Vec<Mapping>,
}

/// One of them.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Mapping {
    /// The program's own code, as an export has it: `hip.flexion.passive`.
    pub own: String,
    /// The address of the other code system.
    pub system: String,
    pub code: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub display: Option<String>,
}

impl OwnCodes {
    /// Those of a record's folder; none if there is no file.
    ///
    /// # Errors
    /// The file can't be read, or there is a slip in it.
    pub fn load(home: &std::path::Path) -> Result<OwnCodes, OwnFileError> {
        read(&home.join("codes.toml"), "your codes")
    }
}

/// Makes codings.
pub struct Codes<'a> {
    pub fhir: &'a Fhir,
    own: &'a OwnCodes,
}

impl<'a> Codes<'a> {
    pub fn new(fhir: &'a Fhir, own: &'a OwnCodes) -> Codes<'a> {
        Codes { fhir, own }
    }

    /// A concept of one of the program's own systems, with what the therapist set beside it.
    pub fn own(&self, system: &str, parts: &[&str], text: &str) -> Value {
        json!({ "coding": self.codings(system, parts), "text": text })
    }

    /// The codings of such a concept.
    pub fn codings(&self, system: &str, parts: &[&str]) -> Vec<Value> {
        let code = code_of(parts);
        let mut codings = vec![json!({
            "system": format!("{}/CodeSystem/{system}", self.fhir.base),
            "code": code,
        })];
        for mapping in self.own.code.iter().filter(|mapping| mapping.own == code) {
            let mut coding = json!({ "system": mapping.system, "code": mapping.code });
            if let Some(display) = &mapping.display {
                coding["display"] = json!(display);
            }
            codings.push(coding);
        }
        codings
    }

    /// A name space of the program's own.
    pub fn naming(&self, what: &str) -> String {
        format!("{}/NamingSystem/{what}", self.fhir.base)
    }
}

/// A LOINC coding.
pub fn loinc(code: &str) -> Value {
    json!({ "system": LOINC, "code": code })
}

/// A coding of one of HL7's systems, with the name that it has there.
pub fn hl7(system: &str, code: &str, display: &str) -> Value {
    let mut coding = hl7_code(system, code);
    coding["display"] = json!(display);
    coding
}

/// The same without the name.
pub fn hl7_code(system: &str, code: &str) -> Value {
    json!({ "system": format!("{HL7}/{system}"), "code": code })
}

/// "internal rotation" of the "hip": `hip.internal-rotation`.
fn code_of(parts: &[&str]) -> String {
    let word = |part: &&str| {
        let mut word = String::new();
        for letter in part.chars() {
            match letter {
                'a'..='z' | '0'..='9' => word.push(letter),
                'A'..='Z' => word.push(letter.to_ascii_lowercase()),
                '+' => word += "plus",
                _ if word.ends_with('-') || word.is_empty() => {}
                _ => word.push('-'),
            }
        }
        word.trim_end_matches('-').to_owned()
    };
    parts.iter().map(word).collect::<Vec<_>>().join(".")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_words() {
        for (parts, code) in [
            (
                &["hip", "internal rotation", "passive"][..],
                "hip.internal-rotation.passive",
            ),
            (&["thumb CMC"], "thumb-cmc"),
            (
                &["weight-bearing lunge (knee to wall)"],
                "weight-bearing-lunge-knee-to-wall",
            ),
            (&["4+"], "4plus"),
            (&["4-"], "4"),
        ] {
            assert_eq!(code_of(parts), code);
        }
    }
}
