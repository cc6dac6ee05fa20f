//! `couchside parse` as it is run.

use std::io::Write;
use std::process::{Command, Output, Stdio};

use serde_json::{Value, json};

use super::assert_valid;
use super::cases::cases;

fn couchside(words: &[&str], input: &[u8]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_couchside"))
        .args(words)
        // Words of one's own would change what is read.
        .env("COUCHSIDE_HOME", env!("CARGO_TARGET_TMPDIR"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let input = input.to_vec();
    // The answers would fill their pipe while the questions wait to be written.
    let writer = std::thread::spawn(move || stdin.write_all(&input));
    let output = child.wait_with_output().unwrap();
    // A program that stops early closes its end.
    let _ = writer.join().unwrap();
    output
}

fn lines(output: &Output) -> Vec<Value> {
    let text = String::from_utf8(output.stdout.clone()).unwrap();
    text.lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

fn has_null(value: &Value) -> bool {
    match value {
        Value::Null => true,
        Value::Array(values) => values.iter().any(has_null),
        Value::Object(fields) => fields.values().any(has_null),
        _ => false,
    }
}

#[test]
fn every_case_is_printed_in_the_published_form() {
    let cases = cases();
    let heard: Vec<&str> = cases.iter().flat_map(|(_, case)| case.lines()).collect();
    let output = couchside(&["parse", "--each"], (heard.join("\n") + "\n").as_bytes());
    assert!(output.status.success() && output.stderr.is_empty(), "{output:?}");
    let printed = lines(&output);
    assert_eq!(printed.len(), heard.len());
    for (number, (line, heard)) in printed.iter().zip(&heard).enumerate() {
        let keys: Vec<&str> = line.as_object().unwrap().keys().map(String::as_str).collect();
        let expected: &[&str] = match (line["outcome"].as_str(), line["control"].as_str()) {
            (Some("finding"), _) => &["line", "heard", "outcome", "findings"],
            (Some("control"), Some("correction")) if keys.len() == 5 => {
                &["line", "heard", "outcome", "control", "findings"]
            }
            (Some("control"), Some(_)) => &["line", "heard", "outcome", "control"],
            (Some("aside" | "unclear"), _) => &["line", "heard", "outcome"],
            _ => panic!("no outcome: {line}"),
        };
        assert_eq!(keys, expected, "{line}");
        assert_eq!(
            (&line["line"], &line["heard"]),
            (&json!(number + 1), &json!(heard))
        );
        assert!(!has_null(line), "{line}");
        assert_valid(line, heard);
    }
    // A case of one line does not depend on what is before it.
    let mut at = 0;
    for (_, case) in &cases {
        let count = case.lines().len();
        if count == 1 {
            let mut got = printed[at].clone();
            let fields = got.as_object_mut().unwrap();
            fields.retain(|key, _| !matches!(key.as_str(), "line" | "heard"));
            assert_eq!(got, case.expected());
        }
        at += count;
    }
}

#[test]
fn lines_of_standard_input_are_one_dictation_unless_each_stands_alone() {
    let input = b"right hip flexion active one ten\nleft one fifteen\n";
    let together = lines(&couchside(&["parse"], input));
    assert_eq!(together[1]["findings"][0]["joint"], "hip");
    let alone = lines(&couchside(&["parse", "--each"], input));
    assert_eq!(alone[1]["findings"][0]["missing"], json!(["joint", "movement"]));
}

#[test]
fn words_on_the_command_line_are_one_utterance() {
    let printed = lines(&couchside(&["parse", "right", "knee", "extension", "-5"], b""));
    let finding = json!({
        "kind": "movement", "side": "right", "joint": "knee", "movement": "extension", "degrees": { "to": -5 }
    });
    let expected = json!({
        "line": 1, "heard": "right knee extension -5", "outcome": "finding", "findings": [finding]
    });
    assert_eq!(printed, [expected]);
}

#[test]
fn an_empty_line_is_an_aside_and_keeps_its_number() {
    let printed = lines(&couchside(&["parse"], b"\nconfirm\r\n\n"));
    assert_eq!(
        printed,
        [
            json!({ "line": 1, "heard": "", "outcome": "aside" }),
            json!({ "line": 2, "heard": "confirm", "outcome": "control", "control": "confirm" }),
            json!({ "line": 3, "heard": "", "outcome": "aside" }),
        ]
    );
    assert_eq!(
        lines(&couchside(&["parse", ""], b"")),
        [json!({ "line": 1, "heard": "", "outcome": "aside" })]
    );
    assert!(lines(&couchside(&["parse"], b"")).is_empty());
}

#[test]
fn bytes_that_are_no_text_cost_their_own_line_only() {
    let output = couchside(&["parse"], b"caf\xe9 \xff\nright hip flexion active one ten\n");
    assert!(output.status.success(), "{output:?}");
    let printed = lines(&output);
    assert_eq!(printed[0]["outcome"], "aside");
    assert_eq!(printed[1]["findings"][0]["degrees"], json!({ "to": 110 }));
}

#[test]
fn an_option_that_there_is_not_ends_with_2_and_says_where_help_is() {
    let output = couchside(&["parse", "--every"], b"");
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    let message = String::from_utf8(output.stderr).unwrap();
    assert!(
        message.contains("unexpected argument '--every'") && message.contains("--help"),
        "{message}"
    );
}
