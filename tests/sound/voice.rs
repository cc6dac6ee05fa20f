//! The voice, with the real espeak-ng, and with programs that misbehave.

use std::io::Write;
use std::os::unix::fs::PermissionsExt;
use std::path::PathBuf;

use couchside::hear::SAMPLE_RATE;
use couchside::readback::{Mouth, Said, Tone, Voice};
use tempfile::TempDir;

use super::made::rms;

fn seconds(samples: &[f32]) -> f64 {
    samples.len() as f64 / f64::from(SAMPLE_RATE)
}

fn espeak() -> Voice {
    let voice = Voice::find(None);
    assert_eq!(voice.why_as_text(), None, "these tests need espeak-ng installed");
    voice
}

/// A program of these lines of shell in a folder of its own.
fn program(lines: &str) -> (TempDir, PathBuf) {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("speaker");
    let mut file = std::fs::File::create(&path).unwrap();
    writeln!(file, "#!/bin/sh\n{lines}").unwrap();
    file.set_permissions(std::fs::Permissions::from_mode(0o755))
        .unwrap();
    (folder, path)
}

/// Rendering with this program fails with a message that says this.
fn check_failure(lines: &str, says: &str) {
    let (_folder, path) = program(lines);
    let error = Voice::find(path.to_str())
        .render("right hip")
        .map(|samples| samples.len())
        .unwrap_err();
    assert!(error.to_string().contains(says), "{error}");
}

#[test]
fn a_sentence_is_spoken() {
    let speech = espeak()
        .render("right hip, active flexion one hundred and ten degrees")
        .unwrap();
    println!("{:.2} s, level {:.3}", seconds(&speech), rms(&speech));
    assert!((2.0..6.0).contains(&seconds(&speech)) && rms(&speech) > 0.01);
}

#[test]
fn hostile_text_is_only_words() {
    let voice = espeak();
    let plain = voice.render("version").unwrap();
    assert!((0.3..1.5).contains(&seconds(&plain)));
    // Neither an option, nor an end, nor phoneme codes, nor markup.
    assert_eq!(voice.render("\0version\0\n").unwrap(), plain);
    for text in [
        "--version",
        "-f /etc/passwd",
        "knee\0 ankle",
        "[[h@l'oU]] knee",
        "<audio src='x'/> knee",
        "`id` $(id)",
    ] {
        let length = seconds(&voice.render(text).unwrap());
        assert!((0.2..6.0).contains(&length), "{text:?}: {length} s");
    }
    let named = voice.render("knee flexion").unwrap();
    assert!(seconds(&named) > seconds(&voice.render("knee").unwrap()));
}

#[test]
fn a_text_without_words_is_silence() {
    for text in ["", "  \n", "\0\0", "…", "-"] {
        assert_eq!(espeak().render(text).unwrap(), [0.0; 0], "{text:?}");
    }
}

#[test]
fn a_long_text_blocks_nothing() {
    // More than a pipe holds, both ways.
    let speech = espeak()
        .render(&"left ankle dorsiflexion ten degrees. ".repeat(30))
        .unwrap();
    assert!(seconds(&speech) > 30.0);
}

#[test]
fn no_speech_program_is_text_and_no_error() {
    let mut voice = Voice::find(Some("no-such-speaker"));
    assert_eq!(voice.say("right hip").unwrap(), Said::AsText);
    let why = voice.why_as_text().unwrap().to_owned();
    assert!(
        why.starts_with("the speech program no-such-speaker is not installed"),
        "{why}"
    );
    assert_eq!(voice.render("right hip").unwrap_err().to_string(), why);
    assert!(Voice::find(Some("/nowhere/speaker")).why_as_text().is_some());
}

#[test]
fn a_program_that_misbehaves_is_named() {
    check_failure("exit 3", "stopped with an error");
    check_failure("cat", "gave something other than speech");
    check_failure("printf RIFF", "gave something other than speech");
    check_failure(
        "cat > /dev/null; printf 'RIFF\\377\\377\\377\\377WAVEdata\\377\\377\\377\\377'",
        "other than speech",
    );
    let (_folder, path) = program("exit 0");
    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o644)).unwrap();
    let error = Voice::find(path.to_str())
        .render("right hip")
        .map(|samples| samples.len())
        .unwrap_err();
    assert!(error.to_string().contains("could not be started"), "{error}");
}

/// Nothing was sounded, so that whoever listens need not throw away what came in meanwhile.
#[test]
fn a_tone_without_its_loudspeaker_is_not_taken_for_sounded() {
    let mut voice = espeak().through(Some("no such loudspeaker".into()));
    let said = voice.sound(&Tone::Recorded.sound(-18.0)).unwrap();
    assert_eq!(said, Said::AsText);
    let why = voice.why_as_text().unwrap();
    assert!(why.contains("loudspeaker"), "{why}");
}
