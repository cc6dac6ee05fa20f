//! The form of a `case.toml`. `audio-samples/README.md` explains it to the people who write one.

use std::collections::BTreeMap;
use std::path::Path;

use serde::Deserialize;
use serde::de::IntoDeserializer;
use serde::de::value::{Error as WordError, StrDeserializer};
use serde_json::Value as Json;
use toml::{Spanned, Table, Value};

use super::case::{Case, Conditions, Truth};
use crate::finding::{Control, Finding, Outcome};

/// What is wrong with the file, from which byte on. `why` ends with what to do.
pub(super) struct Fault {
    pub at: usize,
    pub why: String,
}

/// What stands once in a file.
#[derive(Deserialize)]
struct File {
    id: Option<Value>,
    #[serde(default)]
    before: Vec<String>,
    utterance: Option<Vec<Spanned<Utterance>>>,
    /// Whose voice each speaker has.
    #[serde(default)]
    voices: BTreeMap<String, String>,
    recorded: Option<Vec<Spanned<Table>>>,
}

/// What stands once for every utterance; at the top of the file for all of them, or for the only one.
#[derive(Deserialize)]
struct Utterance {
    said: Option<String>,
    speaker: Option<String>,
    voice: Option<String>,
    speed: Option<Value>,
    noise: Option<String>,
    snr_db: Option<Value>,
    kind: Option<String>,
    outcome: Option<Spanned<String>>,
    control: Option<Spanned<String>>,
    findings: Option<Vec<Spanned<Table>>>,
    start_s: Option<f64>,
    end_s: Option<f64>,
}

/// What a finding in a file may say besides what was found: it does not count.
const PASSED_OVER: [&str; 5] = ["id", "confidence", "heard", "at", "decode_ms"];

pub(super) fn parse(folder: &Path, text: &str) -> Result<Case, Fault> {
    let broken = |error: toml::de::Error| Fault {
        at: error.span().map_or(0, |span| span.start),
        why: format!("{}; mend that line", error.message()),
    };
    let file: File = toml::from_str(text).map_err(broken)?;
    let top: Utterance = toml::from_str(text).map_err(broken)?;
    let continuous = file.utterance.is_some();
    let utterances = match &file.utterance {
        None => vec![truth(&top, 0, &top, &file.voices)?],
        Some(parts) if parts.is_empty() => {
            let why = "the list of utterances is empty; write a [[utterance]] for each, or leave it out";
            return Err(fault(0, why));
        }
        Some(parts) => parts
            .iter()
            .map(|part| truth(part.get_ref(), part.span().start, &top, &file.voices))
            .collect::<Result<_, _>>()?,
    };
    let recorded = file
        .recorded
        .map(|findings| findings.iter().map(finding).collect());
    Ok(Case {
        id: file.id.as_ref().map_or_else(|| name_of(folder), in_words),
        folder: folder.into(),
        before: file.before,
        utterances,
        continuous,
        recorded: recorded.transpose()?,
    })
}

fn truth(
    part: &Utterance,
    at: usize,
    top: &Utterance,
    voices: &BTreeMap<String, String>,
) -> Result<Truth, Fault> {
    let speakers = part.speaker.as_ref().and_then(|speaker| voices.get(speaker));
    let text = |of: fn(&Utterance) -> &Option<String>| of(part).clone().or_else(|| of(top).clone());
    let number = |of: fn(&Utterance) -> &Option<Value>| of(part).as_ref().or(of(top).as_ref()).map(in_words);
    Ok(Truth {
        said: part.said.clone().unwrap_or_default(),
        outcome: outcome(part, at)?,
        conditions: Conditions {
            voice: part.voice.clone().or(speakers.cloned()).or(top.voice.clone()),
            speed: number(|part| &part.speed),
            noise: text(|part| &part.noise),
            snr_db: number(|part| &part.snr_db),
            kind: text(|part| &part.kind),
        },
        span: part.start_s.zip(part.end_s),
    })
}

fn outcome(part: &Utterance, at: usize) -> Result<Outcome, Fault> {
    const OUTCOMES: &str = "write outcome = \"finding\", \"control\", \"aside\" or \"unclear\"";
    let Some(said) = &part.outcome else {
        return Err(fault(
            at,
            &format!("it does not say what must be understood; {OUTCOMES}"),
        ));
    };
    let findings: Vec<Finding> = part
        .findings
        .iter()
        .flatten()
        .map(finding)
        .collect::<Result<_, _>>()?;
    let found = !findings.is_empty();
    let here = said.span().start;
    match said.get_ref().as_str() {
        "finding" if found => Ok(Outcome::Finding { findings }),
        "finding" => Err(fault(
            here,
            "there is no finding; list what must be found in findings = [ … ]",
        )),
        "control" => {
            let Some(word) = &part.control else {
                return Err(fault(
                    here,
                    "it does not say which control word; write control = \"confirm\", say",
                ));
            };
            let control = control(word)?;
            match control == Control::Correction || !found {
                true => Ok(Outcome::Control { control, findings }),
                false => Err(fault(here, "only a correction has findings; take them away")),
            }
        }
        "aside" | "unclear" if found => {
            Err(fault(here, "nothing may be found in it; take the findings away"))
        }
        "aside" => Ok(Outcome::Aside),
        "unclear" => Ok(Outcome::Unclear { why: String::new() }),
        other => Err(fault(
            here,
            &format!("there is no outcome \"{other}\"; {OUTCOMES}"),
        )),
    }
}

fn control(word: &Spanned<String>) -> Result<Control, Fault> {
    let text: StrDeserializer<'_, WordError> = word.get_ref().as_str().into_deserializer();
    Control::deserialize(text).map_err(|_| {
        let why = format!(
            "there is no control word \"{}\"; `couchside grammar say` lists them",
            word.get_ref()
        );
        fault(word.span().start, &why)
    })
}

fn finding(table: &Spanned<Table>) -> Result<Finding, Fault> {
    let at = table.span().start;
    let mut table = table.get_ref().clone();
    for key in PASSED_OVER {
        table.remove(key);
    }
    let finding = Finding::deserialize(table.clone()).map_err(|error| {
        fault(
            at,
            &format!("a finding is not in order: {}; mend it", error.message()),
        )
    })?;
    let kept = serde_json::to_value(&finding).unwrap_or_default();
    match lost(&Value::Table(table), &kept) {
        None => Ok(finding),
        Some(key) => Err(fault(
            at,
            &format!("a finding has no field {key}; correct its name or take it away"),
        )),
    }
}

/// A key that reading passed over.
fn lost(written: &Value, kept: &Json) -> Option<String> {
    match written {
        Value::Table(table) => table.iter().find_map(|(key, value)| match kept.get(key) {
            Some(kept) => lost(value, kept),
            None => (!value.as_array().is_some_and(Vec::is_empty)).then(|| key.clone()),
        }),
        Value::Array(values) => {
            let of = |at: usize| kept.get(at).unwrap_or(&Json::Null);
            values
                .iter()
                .enumerate()
                .find_map(|(at, value)| lost(value, of(at)))
        }
        _ => None,
    }
}

fn fault(at: usize, why: &str) -> Fault {
    Fault { at, why: why.into() }
}

fn name_of(folder: &Path) -> String {
    let name = folder.file_name().unwrap_or(folder.as_os_str());
    name.to_string_lossy().into_owned()
}

fn in_words(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        other => other.to_string(),
    }
}
