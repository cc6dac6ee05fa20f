//! What goes wrong before anything is heard, and what the therapist is told.

use super::couchside;

/// Runs the command and compares its whole complaint; nothing may be printed as a result.
fn check(arguments: &[&str], status: i32, complaint: &str) {
    let home = tempfile::tempdir().expect("a folder");
    let mut command = couchside();
    command
        .args(arguments)
        .env("COUCHSIDE_HOME", home.path())
        .env("COUCHSIDE_PASSPHRASE", "throw-away");
    let output = command.output().expect("couchside runs");
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(status), "{said}");
    assert!(output.stdout.is_empty(), "{arguments:?}");
    assert!(said.contains(complaint), "{arguments:?} said: {said}");
}

#[test]
fn a_recording_that_is_not_there() {
    check(&["hear", "no-such-file.wav"], 1, "no-such-file.wav");
    check(
        &["listen", "--client", "demo-1", "--from", "no-such-file.wav"],
        1,
        "no-such-file.wav",
    );
}

#[test]
fn a_file_that_is_no_recording() {
    check(&["hear", "Cargo.toml"], 1, "Cargo.toml");
}

#[test]
fn a_model_that_is_not_there() {
    check(
        &["hear", "--model", "no-such-model", "Cargo.toml"],
        1,
        "no-such-model",
    );
}

#[test]
fn a_record_that_is_not_there_yet() {
    let speech = "audio-samples/confirm/speech.wav";
    check(
        &["listen", "--client", "demo-1", "--from", speech],
        1,
        "couchside record new",
    );
}

#[test]
fn words_that_do_not_fit_together() {
    check(&["listen"], 2, "--client");
    check(&["listen", "--client", "demo-1", "--realtime"], 2, "--from");
    check(&["hear"], 2, "FILE.wav");
    check(&["no-such-command"], 2, "no-such-command");
}
