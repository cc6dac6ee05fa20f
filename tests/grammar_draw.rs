//! `couchside grammar draw`: random dictation that means what is said of it.

use std::process::Command;

use serde_json::Value;

fn draw(arguments: &[&str]) -> String {
    let home = tempfile::tempdir().expect("a folder");
    let output = Command::new(env!("CARGO_BIN_EXE_couchside"))
        .env("COUCHSIDE_HOME", home.path())
        .args(["grammar", "draw"])
        .args(arguments)
        .output()
        .expect("couchside runs");
    assert!(output.status.success(), "{output:?}");
    String::from_utf8(output.stdout).expect("text")
}

#[test]
fn a_seed_gives_the_same_phrases_and_another_gives_others() {
    let once = draw(&["--seed", "7", "--count", "40"]);
    assert_eq!(once.lines().count(), 40);
    assert_eq!(once, draw(&["--seed", "7", "--count", "40"]));
    assert_ne!(once, draw(&["--seed", "8", "--count", "40"]));
}

#[test]
fn drawn_phrases_are_findings_or_controls_and_leave_no_subject_out() {
    let phrases: Vec<Value> = draw(&["--seed", "9", "--count", "1500", "--json"])
        .lines()
        .map(|line| serde_json::from_str(line).expect("JSON"))
        .collect();
    let mut joints = std::collections::BTreeSet::new();
    for phrase in &phrases {
        for one in phrase["utterances"].as_array().expect("utterances") {
            let outcome = one["outcome"].as_str().expect("an outcome");
            assert!(["finding", "control"].contains(&outcome), "{one}");
            let said = one["said"].as_str().expect("words");
            assert!(!said.contains(|letter: char| letter.is_ascii_digit()), "{said}");
            for finding in one["findings"].as_array().into_iter().flatten() {
                assert!(finding["doubts"].is_null(), "{one}");
                joints.extend(finding["joint"].as_str().map(str::to_string));
            }
        }
    }
    for about in [
        "movement",
        "breath",
        "muscle",
        "test",
        "palpation",
        "girth",
        "sign",
        "control",
        "chain",
    ] {
        assert!(
            phrases.iter().any(|phrase| phrase["about"] == about),
            "no phrase about {about}"
        );
    }
    assert!(joints.len() >= 25, "only these joints: {joints:?}");
}

#[test]
fn a_word_can_be_left_out() {
    let words = |text: &str| text.split_whitespace().filter(|word| *word == "left").count();
    assert!(words(&draw(&["--count", "100"])) > 10);
    assert_eq!(words(&draw(&["--count", "100", "--without", "left"])), 0);
}
