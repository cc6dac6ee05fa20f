//! The spoken samples are whole: each folder has a recording in the right form and a truth that holds together.
//! What the program hears in them is tested elsewhere.

use std::fs;
use std::path::{Path, PathBuf};

use couchside::evaluate::{Case, Truth, same};
use couchside::finding::{Control, Finding, Outcome};
use serde_json::Value;

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

fn case(folder: &Path) -> Case {
    Case::read(folder).unwrap_or_else(|error| panic!("{error}"))
}

/// The short cases themselves, and the utterances of the continuous ones, each with the name of its folder.
fn utterances() -> Vec<(String, Truth)> {
    let cases = folders().into_iter().map(|folder| case(&folder));
    cases
        .flat_map(|case| {
            let name = case.folder.display().to_string();
            case.utterances
                .into_iter()
                .map(move |truth| (name.clone(), truth))
        })
        .collect()
}

fn findings(outcome: &Outcome) -> &[Finding] {
    match outcome {
        Outcome::Finding { findings } | Outcome::Control { findings, .. } => findings,
        Outcome::Aside | Outcome::Unclear { .. } => &[],
    }
}

#[test]
fn there_are_enough_of_each_outcome() {
    let cases: Vec<Case> = folders().iter().map(|folder| case(folder)).collect();
    let count = |is: fn(&Outcome) -> bool| {
        let short = cases.iter().filter(|case| !case.continuous);
        short.filter(|case| is(&case.utterances[0].outcome)).count()
    };
    let finding = count(|outcome| matches!(outcome, Outcome::Finding { .. }));
    let control = count(|outcome| matches!(outcome, Outcome::Control { .. }));
    let aside = count(|outcome| matches!(outcome, Outcome::Aside));
    let unclear = count(|outcome| matches!(outcome, Outcome::Unclear { .. }));
    assert!(finding >= 18, "{finding} findings");
    assert!(control >= 4, "{control} controls");
    assert!(aside >= 6, "{aside} asides");
    assert!(unclear >= 1, "{unclear} unclear");
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
    let meant = utterances().into_iter().flat_map(|(name, truth)| {
        findings(&truth.outcome)
            .iter()
            .map(|one| (name.clone(), one.clone()))
            .collect::<Vec<_>>()
    });
    let recorded = folders().into_iter().flat_map(|folder| {
        let recorded = case(&folder).recorded.unwrap_or_default();
        recorded
            .into_iter()
            .map(|finding| ("recorded".to_owned(), finding))
    });
    for (name, finding) in meant.chain(recorded) {
        let finding = serde_json::to_value(finding).expect("JSON");
        let faults: Vec<String> = schema
            .iter_errors(&finding)
            .map(|fault| fault.to_string())
            .collect();
        assert!(faults.is_empty(), "{name}: {finding}: {faults:?}");
    }
}

/// What else belongs together the reading of a case checks.
#[test]
fn every_correction_says_what_it_leads_to() {
    for (name, truth) in utterances() {
        if let Outcome::Control {
            control: Control::Correction,
            findings,
        } = &truth.outcome
        {
            assert_eq!(findings.len(), 1, "{name}");
        }
    }
}

#[test]
fn utterances_follow_each_other_within_the_recording() {
    for folder in folders() {
        let length = hound::WavReader::open(folder.join("speech.wav"))
            .expect("a recording")
            .duration();
        let mut end = 0.0;
        for truth in case(&folder).utterances {
            let Some((starts, ends)) = truth.span else {
                panic!("{}: no edges: {truth:?}", folder.display())
            };
            assert!(
                end < starts && starts < ends,
                "{}: out of order: {truth:?}",
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
    let assessments: Vec<Case> = folders()
        .iter()
        .map(|folder| case(folder))
        .filter(|case| case.continuous)
        .collect();
    assert!(!assessments.is_empty());
    for assessment in assessments {
        let (mut pending, mut recorded) = (Vec::new(), Vec::new());
        for truth in assessment.utterances {
            match truth.outcome {
                Outcome::Finding { findings }
                | Outcome::Control {
                    control: Control::Correction,
                    findings,
                } => pending = findings,
                Outcome::Control {
                    control: Control::Confirm,
                    ..
                } => recorded.append(&mut pending),
                Outcome::Control {
                    control: Control::Disregard,
                    ..
                } => pending.clear(),
                _ => {}
            }
        }
        let stated = assessment.recorded.expect("what must be recorded");
        assert_eq!(stated.len(), recorded.len());
        assert!(
            stated.iter().zip(&recorded).all(|(one, other)| same(one, other)),
            "{recorded:?}"
        );
    }
}
