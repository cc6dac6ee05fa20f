//! The spoken samples are whole: each folder has a recording in the right form and a truth that holds together.
//! What the program hears in them is tested elsewhere.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/audio-samples");
const LARGEST_FOLDER_BYTES: u64 = 12_000_000;

/// Every folder of `audio-samples` that people hear, which is every folder but Python's cache.
fn folders() -> Vec<PathBuf> {
    let mut folders: Vec<PathBuf> = fs::read_dir(FOLDER)
        .expect("the folder of samples")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.is_dir() && !path.ends_with("__pycache__"))
        .collect();
    folders.sort();
    folders
}

fn case(folder: &Path) -> Value {
    let text = fs::read_to_string(folder.join("case.toml"))
        .unwrap_or_else(|error| panic!("{}: case.toml: {error}", folder.display()));
    toml::from_str(&text).unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
}

/// The short cases themselves, and the utterances of the continuous ones, each with the name of its folder.
fn utterances() -> Vec<(String, Value)> {
    folders()
        .iter()
        .flat_map(|folder| {
            let case = case(folder);
            let parts = case["utterance"]
                .as_array()
                .cloned()
                .unwrap_or_else(|| vec![case]);
            parts.into_iter().map(|part| (folder.display().to_string(), part))
        })
        .collect()
}

fn findings(utterance: &Value) -> Vec<Value> {
    utterance["findings"].as_array().cloned().unwrap_or_default()
}

#[test]
fn there_are_enough_of_each_outcome() {
    let count = |outcome: &str| {
        folders()
            .iter()
            .filter(|folder| case(folder)["outcome"] == outcome)
            .count()
    };
    assert!(count("finding") >= 18, "{} findings", count("finding"));
    assert!(count("control") >= 4, "{} controls", count("control"));
    assert!(count("aside") >= 6, "{} asides", count("aside"));
    assert!(count("unclear") >= 1, "{} unclear", count("unclear"));
}

#[test]
fn every_recording_is_16_khz_mono_16_bit_and_small_enough() {
    let mut bytes = 0;
    for folder in folders() {
        let file = folder.join("speech.wav");
        let reader =
            hound::WavReader::open(&file).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
        let spec = reader.spec();
        assert_eq!(
            (spec.sample_rate, spec.channels, spec.bits_per_sample),
            (16_000, 1, 16),
            "{}",
            file.display()
        );
        bytes += fs::metadata(&file).expect("its size").len();
    }
    assert!(bytes < LARGEST_FOLDER_BYTES, "the recordings take {bytes} bytes");
}

#[test]
fn every_finding_follows_the_schema() {
    let schema: Value = serde_json::from_str(include_str!("finding.schema.json")).expect("the schema");
    let schema = jsonschema::validator_for(&schema).expect("a valid schema");
    let recorded = folders()
        .iter()
        .map(|folder| case(folder)["recorded"].clone())
        .collect::<Vec<_>>();
    let all = utterances().into_iter().flat_map(|(name, utterance)| {
        findings(&utterance)
            .into_iter()
            .map(move |finding| (name.clone(), finding))
    });
    let all = all.chain(
        recorded
            .iter()
            .filter_map(Value::as_array)
            .flatten()
            .map(|finding| ("recorded".to_owned(), finding.clone())),
    );
    for (name, finding) in all {
        let faults: Vec<String> = schema
            .iter_errors(&finding)
            .map(|fault| fault.to_string())
            .collect();
        assert!(faults.is_empty(), "{name}: {finding}: {faults:?}");
    }
}

#[test]
fn every_outcome_carries_what_belongs_to_it() {
    for (name, utterance) in utterances() {
        let control = utterance.get("control").and_then(Value::as_str);
        let found = !findings(&utterance).is_empty();
        let fits = match utterance["outcome"].as_str() {
            Some("finding") => found && control.is_none(),
            Some("control") => control.is_some() && found == (control == Some("correction")),
            Some("aside" | "unclear") => !found && control.is_none(),
            _ => false,
        };
        assert!(fits, "{name}: {utterance}");
    }
}

#[test]
fn utterances_follow_each_other_within_the_recording() {
    for folder in folders() {
        let case = case(&folder);
        let length = hound::WavReader::open(folder.join("speech.wav"))
            .expect("a recording")
            .duration();
        let parts = case["utterance"]
            .as_array()
            .cloned()
            .unwrap_or_else(|| vec![case]);
        let mut end = 0.0;
        for part in &parts {
            let edges = (part["start_s"].as_f64(), part["end_s"].as_f64());
            let (Some(starts), Some(ends)) = edges else {
                panic!("{}: no edges: {part}", folder.display())
            };
            assert!(
                end < starts && starts < ends,
                "{}: out of order: {part}",
                folder.display()
            );
            end = ends;
        }
        assert!(
            end <= f64::from(length) / 16_000.0,
            "{}: ends after its recording",
            folder.display()
        );
    }
}

/// What is confirmed is recorded, what is corrected before it is confirmed is recorded as corrected, and what is
/// disregarded is not recorded.
#[test]
fn an_assessment_records_what_was_confirmed_in_it() {
    let assessments: Vec<Value> = folders()
        .iter()
        .map(|folder| case(folder))
        .filter(|case| case["utterance"].is_array())
        .collect();
    assert!(!assessments.is_empty());
    for assessment in assessments {
        let (mut pending, mut recorded) = (Vec::new(), Vec::new());
        for utterance in assessment["utterance"].as_array().expect("utterances") {
            match (utterance["outcome"].as_str(), utterance["control"].as_str()) {
                (Some("finding"), _) | (_, Some("correction")) => pending = findings(utterance),
                (_, Some("confirm")) => recorded.append(&mut pending),
                (_, Some("disregard")) => pending.clear(),
                _ => {}
            }
        }
        assert_eq!(assessment["recorded"], json!(recorded));
    }
}
