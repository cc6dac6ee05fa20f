//! `couchside settings` as it is run, and settings with slips in them.

use std::path::Path;
use std::process::Command;

use couchside::readback::Answers;
use couchside::settings::Settings;
use tempfile::tempdir;

/// The exit status, the answer and the message of a command.
fn couchside(home: &Path, words: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_couchside"))
        .args(words)
        .env("COUCHSIDE_HOME", home)
        .output()
        .expect("it runs");
    let text = |bytes| String::from_utf8(bytes).expect("it is text");
    (
        output.status.code().expect("it ended by itself"),
        text(output.stdout),
        text(output.stderr),
    )
}

/// Words after `couchside settings`, and what is answered.
fn check(home: &Path, words: &[&str], expected: &str) {
    let (status, answer, message) = couchside(home, &[&["settings"], words].concat());
    assert_eq!(
        (status, answer.as_str(), message.as_str()),
        (0, expected, ""),
        "{words:?}"
    );
}

/// Words that can't be done, and why.
fn refuse(home: &Path, words: &[&str], why: &str) {
    let before = std::fs::read(Settings::place(home)).ok();
    let (status, answer, message) = couchside(home, &[&["settings"], words].concat());
    assert_eq!(answer, "", "{words:?}");
    assert!(status == 1 || status == 2, "{words:?} ended with {status}");
    assert_eq!(message, format!("couchside: {why}\n"), "{words:?}");
    assert_eq!(
        std::fs::read(Settings::place(home)).ok(),
        before,
        "{words:?} changed something"
    );
}

#[test]
fn a_choice_is_kept_and_taken_back() {
    let home = tempdir().unwrap();
    check(home.path(), &["answers"], "answers         sentences\n");
    check(home.path(), &["answers", "brief"], "answers         brief\n");
    check(home.path(), &["tone-level", "-30"], "tone-level      -30\n");
    check(home.path(), &["count", "5"], "count           5\n");
    check(
        home.path(),
        &["microphone", "Desk Microphone"],
        "microphone      Desk Microphone\n",
    );
    let kept = Settings::load(home.path()).unwrap();
    assert_eq!(
        (kept.answers, kept.tone_level, kept.count),
        (Answers::Brief, -30.0, 5)
    );
    assert_eq!(kept.microphone.as_deref(), Some("Desk Microphone"));
    check(
        home.path(),
        &["microphone", "--usual"],
        "microphone      as the system has it\n",
    );
    for (name, value, usual) in [
        ("sound-kept", "30", "until-reviewed"),
        ("visits-kept", "8", "without end"),
        ("way-in", "key-held", "open"),
        ("cue", "mercury", "none"),
    ] {
        check(home.path(), &[name, value], &format!("{name:16}{value}\n"));
        check(home.path(), &[name], &format!("{name:16}{value}\n"));
        check(home.path(), &[name, "--usual"], &format!("{name:16}{usual}\n"));
    }
    check(
        home.path(),
        &["answers", "--usual"],
        "answers         sentences\n",
    );
}

#[test]
fn all_of_them_are_explained() {
    let home = tempdir().unwrap();
    let (status, page, _) = couchside(home.path(), &["settings"]);
    assert_eq!(status, 0);
    for name in [
        "answers",
        "said-back",
        "way-in",
        "cue",
        "therapist",
        "sound-kept",
        "visits-kept",
        "tone-level",
        "count",
        "microphone",
        "loudspeaker",
        "speech-program",
    ] {
        assert!(
            page.lines().any(|line| line.starts_with(name)),
            "{name} is missing:\n{page}"
        );
    }
    assert!(!Settings::place(home.path()).exists(), "looking writes nothing");
}

#[test]
fn what_cannot_be_is_refused_and_nothing_is_changed() {
    let home = tempdir().unwrap();
    check(home.path(), &["count", "4"], "count           4\n");
    for (words, why) in [
        (
            &["answers", "loud"][..],
            "answers may be sentences, brief or tones, not “loud”",
        ),
        (
            &["sound-kept", "0"],
            "sound-kept may be until-reviewed, or a number of days, not “0”",
        ),
        (
            &["visits-kept", "ever"],
            "visits-kept may be a number of years, not “ever”",
        ),
        (
            &["cue", "right"],
            "“right” can't be the cue: it has a meaning in dictation or is said in talk; choose what you never say otherwise",
        ),
        (
            &["way-in", "shut"],
            "way-in may be open, cue, key-held or key-tapped, not “shut”",
        ),
        (&["count", "0"], "count may be 1 to 30, not “0”"),
        (&["count", "many"], "count may be 1 to 30, not “many”"),
        (&["tone-level", "6"], "tone-level may be -60 to 0, not “6”"),
        (&["tone-level", "NaN"], "tone-level may be -60 to 0, not “NaN”"),
        (
            &["volume", "3"],
            "there is no setting “volume”; there are answers, said-back, way-in, cue, therapist, sound-kept, talk-kept, visits-kept, tone-level, count, microphone, loudspeaker, speech-program",
        ),
        (
            &["volume"],
            "there is no setting “volume”; there are answers, said-back, way-in, cue, therapist, sound-kept, talk-kept, visits-kept, tone-level, count, microphone, loudspeaker, speech-program",
        ),
    ] {
        refuse(home.path(), words, why);
    }
}

#[test]
fn a_slip_in_the_file_is_named() {
    for (text, line, why) in [
        ("answers = \"loud\"\n", 1, "unknown variant"),
        ("count = 3\nvolume = 3\n", 2, "unknown field"),
        ("sound_kept = 0\n", 1, "a number of days from 1"),
        ("count = 90\n", 1, "count may be 1 to 30, not 90"),
        (
            "# mine\n\ntone_level = 5\n",
            3,
            "tone_level may be -60 to 0, not 5",
        ),
        (
            "answers = \"brief\"\ncount = 0\n",
            2,
            "count may be 1 to 30, not 0",
        ),
        ("count = \n", 1, ""),
    ] {
        let home = tempdir().unwrap();
        let place = Settings::place(home.path());
        std::fs::write(&place, text).unwrap();
        let (status, _, message) = couchside(home.path(), &["settings"]);
        assert_eq!(status, 1, "{text}");
        let start = format!(
            "couchside: the settings can't be used: {}:{line}: ",
            place.display()
        );
        assert!(message.starts_with(&start) && message.contains(why), "{message}");
        assert!(
            message.contains("move the file away to go on without it"),
            "{message}"
        );
    }
}
