//! The cases of `tests/cases`: what the last line of a dictation means.

use std::fs;
use std::path::Path;

use serde::Deserialize;
use serde_json::{Value, json};

use super::{assert_valid, interpreter};

/// One dictation and what its last line means. A finding without a kind is of a movement.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    heard: Option<String>,
    #[serde(default)]
    lines: Vec<String>,
    outcome: String,
    control: Option<String>,
    #[serde(default)]
    findings: Vec<Value>,
}

impl Case {
    pub fn lines(&self) -> Vec<&str> {
        self.heard.iter().chain(&self.lines).map(String::as_str).collect()
    }

    /// The outcome as the published JSON has it.
    pub fn expected(&self) -> Value {
        let mut expected = json!({ "outcome": self.outcome });
        if let Some(control) = &self.control {
            expected["control"] = json!(control);
        }
        if !self.findings.is_empty() {
            expected["findings"] = self.findings.iter().map(whole).collect();
        }
        expected
    }
}

fn whole(finding: &Value) -> Value {
    let mut whole = finding.clone();
    if whole["kind"].is_null() {
        whole["kind"] = json!("movement");
    }
    whole
}

/// Every case with the name of its file.
pub fn cases() -> Vec<(String, Case)> {
    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    struct File {
        case: Vec<Case>,
    }
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases");
    let mut paths: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.sort();
    let mut all = Vec::new();
    for path in paths {
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let text = fs::read_to_string(&path).unwrap();
        let file: File = toml::from_str(&text).unwrap_or_else(|error| panic!("{name}: {error}"));
        all.extend(file.case.into_iter().map(|case| (name.clone(), case)));
    }
    all
}

/// Reads `lines` as one dictation; the outcome of the last.
fn last_outcome(lines: &[&str]) -> Value {
    let mut interpreter = interpreter();
    let mut outcome = Value::Null;
    for line in lines {
        outcome = serde_json::to_value(interpreter.read(line).outcome).unwrap();
        assert_valid(&outcome, line);
    }
    outcome
}

#[test]
fn every_case_means_what_it_says() {
    let cases = cases();
    let asides = cases.iter().filter(|(_, case)| case.outcome == "aside").count();
    assert!(
        cases.len() >= 3000 && asides >= 600,
        "{} cases, {asides} of them asides",
        cases.len()
    );
    let mut wrong = Vec::new();
    for (name, case) in &cases {
        let (lines, expected) = (case.lines(), case.expected());
        let got = last_outcome(&lines);
        if got != expected {
            wrong.push(format!(
                "{name}: {}\n  expected {expected}\n  got      {got}",
                lines.join(" / ")
            ));
        }
    }
    assert!(
        wrong.is_empty(),
        "{} of {}:\n{}",
        wrong.len(),
        cases.len(),
        wrong.join("\n")
    );
}

/// The spoken samples, as text: what their words mean does not depend on hearing them.
#[test]
fn the_words_of_every_spoken_sample_mean_what_their_case_says() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("audio-samples");
    let mut checked = 0;
    for entry in fs::read_dir(folder).unwrap() {
        let Ok(text) = fs::read_to_string(entry.unwrap().path().join("case.toml")) else {
            continue;
        };
        let case: Value = toml::from_str(&text).unwrap();
        let one = vec![case.clone()];
        let mut before: Vec<&str> = case["before"]
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(Value::as_str)
            .collect();
        for utterance in case["utterance"].as_array().unwrap_or(&one) {
            before.push(utterance["said"].as_str().unwrap());
            let got = last_outcome(&before);
            for key in ["outcome", "control", "findings"] {
                assert_eq!(got[key], utterance[key], "{key} of {before:?}");
            }
            checked += 1;
        }
    }
    assert!(checked > 60, "{checked} utterances");
}

/// A value that the grammar can put into a finding is one of the published form.
#[test]
fn every_value_of_the_vocabulary_is_published() {
    let fields = [
        ("end-feels.toml", "end_feel"),
        ("ranges.toml", "range"),
        ("powers.toml", "power"),
        ("sides.toml", "side"),
        ("modes.toml", "mode"),
    ];
    for (file, field) in fields {
        for (name, _) in super::render::values(file, None) {
            assert_valid(
                &json!({ "findings": [{ "kind": "movement", field: name }] }),
                file,
            );
        }
    }
    for (name, _) in super::render::values("pain.toml", Some("pain when")) {
        let finding = json!({ "kind": "pain", "pain": { "felt": true, "when": name } });
        assert_valid(&json!({ "findings": [finding] }), "pain.toml");
    }
}
