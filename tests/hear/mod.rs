//! Recorded speech through the real program, with the real model.

mod assessment;
mod by_sound;
mod cases;
mod messages;

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn couchside() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_couchside"));
    command.current_dir(env!("CARGO_MANIFEST_DIR"));
    // Words of one's own would change what is heard.
    command.env("COUCHSIDE_HOME", env!("CARGO_TARGET_TMPDIR"));
    command
}

/// Standard output as JSON lines; the command must have done its work.
fn json_lines(output: Output) -> Vec<serde_json::Value> {
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(
        output.status.success(),
        "{complaint} (the model is fetched by `make model`)"
    );
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    text.lines()
        .map(|line| serde_json::from_str(line).expect("a JSON object per line"))
        .collect()
}

fn samples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("audio-samples")
}

/// A case's truth as JSON.
fn truth(folder: &Path) -> serde_json::Value {
    let text = std::fs::read_to_string(folder.join("case.toml")).expect("a case.toml");
    serde_json::to_value(toml::from_str::<toml::Table>(&text).expect("TOML")).expect("JSON")
}

fn schema() -> jsonschema::Validator {
    let text = include_str!("../finding.schema.json");
    let schema = serde_json::from_str(text).expect("JSON");
    jsonschema::validator_for(&schema).expect("a schema")
}
