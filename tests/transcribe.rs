//! `couchside transcribe`: a JSON object per file, and what it says when it cannot.

use std::path::Path;
use std::process::{Command, Output};

fn transcribe(models: Option<&Path>, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_couchside"));
    command
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .arg("transcribe")
        .args(arguments);
    if let Some(models) = models {
        command.env("COUCHSIDE_MODELS", models);
    }
    command.output().expect("couchside runs")
}

fn complaint(output: Output) -> String {
    assert_eq!((output.status.code(), output.stdout.len()), (Some(1), 0));
    String::from_utf8(output.stderr).expect("text")
}

#[test]
fn each_file_has_its_line() {
    let file = "tests/engine/go_forward_ten_meters.wav";
    for options in [&[file, file][..], &["--full-window", file, file]] {
        let output = transcribe(None, options);
        assert!(
            output.status.success(),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
        let lines: Vec<serde_json::Value> = output
            .stdout
            .split(|byte| *byte == b'\n')
            .filter_map(|line| serde_json::from_slice(line).ok())
            .collect();
        assert_eq!(lines.len(), 2);
        assert_eq!(lines[0]["text"], lines[1]["text"]);
        assert_eq!(lines[0]["file"], file);
        assert!(
            lines[0]["text"]
                .as_str()
                .is_some_and(|text| text.to_lowercase().starts_with("go forward"))
        );
        assert!(lines[0]["decode_ms"].as_f64().is_some_and(|ms| ms >= 1.0));
        assert!(output.stderr.is_empty(), "whisper.cpp is silent");
    }
}

#[test]
fn a_model_that_is_not_there_is_named() {
    let said = complaint(transcribe(
        Some(Path::new("/nowhere")),
        &["--model", "huge", "x.wav"],
    ));
    assert!(
        said.contains("the speech model huge is not on this computer (looked in /nowhere)"),
        "{said}"
    );
}

#[test]
fn a_file_that_is_not_there_is_named() {
    let said = complaint(transcribe(None, &["no-such.wav"]));
    assert!(said.contains("there is no file no-such.wav"), "{said}");
}
