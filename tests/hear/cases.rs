//! The short recordings: what each is heard as.
//!
//! A recording may be asked about or not understood; what must not happen is a finding that is wrong and not in doubt,
//! and talk that becomes a finding.

use couchside::evaluate::{Case, Claim, Verdict, judge};
use couchside::finding::Outcome;
use serde_json::{Value, json};

use super::{couchside, json_lines, samples, schema};

/// Of the 33 recordings that stand alone, at least this many are right outright. 27 when this was written.
const RIGHT_AT_LEAST: usize = 24;

#[test]
fn recordings_are_heard_right_or_asked_about() {
    let schema = schema();
    let mut right = 0;
    let mut folders: Vec<_> = std::fs::read_dir(samples())
        .expect("samples")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    folders.sort();
    for folder in folders.iter().filter(|folder| folder.join("case.toml").exists()) {
        let case = Case::read(folder).expect("a case");
        if case.continuous || !case.before.is_empty() {
            continue;
        }
        let heard = couchside()
            .arg("hear")
            .arg("--each")
            .arg(folder.join("speech.wav"))
            .output();
        let heard = json_lines(heard.expect("couchside runs"));
        let name = folder.file_name().expect("a name").to_string_lossy().to_string();
        for line in &heard {
            line_is_as_published(line, &name);
            for finding in line["findings"].as_array().into_iter().flatten() {
                assert!(schema.is_valid(finding), "{name}: {finding}");
            }
        }
        let outcomes: Vec<Outcome> = heard
            .iter()
            .map(|line| serde_json::from_value(line.clone()).expect("an outcome"))
            .collect();
        let meant = Claim::of(case.utterances.iter().map(|truth| (&truth.outcome, false)));
        let judgement = judge(
            &meant,
            &Claim::of(outcomes.iter().map(|outcome| (outcome, false))),
        );
        right += usize::from(judgement.verdict == Verdict::Right);
        assert!(judgement.verdict < Verdict::FalseControl, "{name}: {judgement:?}");
    }
    assert!(right >= RIGHT_AT_LEAST, "only {right} recordings are right");
}

fn line_is_as_published(line: &Value, name: &str) {
    let keys: Vec<&str> = line
        .as_object()
        .expect("an object")
        .keys()
        .map(String::as_str)
        .collect();
    let first = ["file", "start_s", "end_s", "heard", "outcome"];
    assert_eq!(keys[..5], first, "{name}");
    assert_eq!(keys[keys.len() - 2..], ["confidence", "decode_ms"], "{name}");
    assert!(line["start_s"].as_f64() < line["end_s"].as_f64(), "{name}");
    assert!(
        (0.0..=1.0).contains(&line["confidence"].as_f64().expect("a number")),
        "{name}"
    );
    assert!(line["decode_ms"].is_u64(), "{name}");
}

/// Files given together are one dictation: the second leans on the first.
#[test]
fn files_in_a_row_carry_over_and_each_does_not() {
    let file = |name: &str| samples().join(name).join("speech.wav");
    let [whole, elliptical] = [
        file("right-hip-flexion-active-110"),
        file("left-active-115-carried-over"),
    ];
    let last = |each: bool| {
        let mut command = couchside();
        command
            .arg("hear")
            .args(each.then_some("--each"))
            .args([&whole, &elliptical]);
        json_lines(command.output().expect("couchside runs"))
            .pop()
            .expect("a line")
    };
    let wanted = json!({
        "kind": "movement", "side": "left", "joint": "hip", "movement": "flexion", "mode": "active",
        "degrees": {"to": 115}
    });
    assert_eq!(last(false)["findings"], json!([wanted]));
    assert_eq!(last(true)["findings"][0]["missing"], json!(["joint", "movement"]));
}
