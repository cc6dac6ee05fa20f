//! `couchside amend` and the sign-off, as a person runs them.

use std::io::Write;
use std::process::{Command, Stdio};

use super::*;

/// Exit status, answer and message of a command to which this is typed.
fn couchside(home: &Path, words: &[&str], typed: &str) -> (i32, String, String) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_couchside"))
        .args(words)
        .env("COUCHSIDE_HOME", home)
        .env("COUCHSIDE_PASSPHRASE", WORDS)
        .env_remove("COUCHSIDE_PASSPHRASE_FILE")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // Who is refused at once reads nothing.
    let _ = child.stdin.take().unwrap().write_all(typed.as_bytes());
    let output = child.wait_with_output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (
        output.status.code().unwrap(),
        text(output.stdout),
        text(output.stderr),
    )
}

/// The finding, and how many entries the history of its client has.
fn state(home: &Path) -> (Vec<Finding>, usize) {
    let mut record = reopened(home);
    record.verify().unwrap();
    let visits = record.case("P-12").unwrap().visits;
    let number = visits[0].number;
    let visit = record.visit_of("P-12", Some(number)).unwrap();
    assert_eq!(
        record.pending(visit).unwrap(),
        [],
        "nothing is left to be offered as a finding of its own"
    );
    assert_eq!(visits.len(), 1);
    let findings = visits[0]
        .findings
        .iter()
        .map(|kept| kept.finding.clone())
        .collect();
    let history = record.history("P-12").unwrap().len();
    record.visit_for("P-99").unwrap();
    (findings, history)
}

#[test]
fn a_finding_is_changed_only_once_that_is_typed() {
    let (home, mut record) = new_record();
    let visit = record.visit_for("P-12").unwrap();
    record_one(
        &mut record,
        visit,
        &flexion(Side::Left, 100),
        "left hip flexion active one hundred",
    );
    record.sign_visit(visit, false).unwrap();
    drop(record);
    let home = home.path();
    let before = state(home);
    let amend = |words: &str, typed| {
        couchside(
            home,
            &[&["amend", "1"], &words.split(' ').collect::<Vec<_>>()[..]].concat(),
            typed,
        )
    };

    for typed in ["no\n", "", "confirmed\n"] {
        let (status, said, err) = amend("one hundred and ten", typed);
        assert_eq!((status, err.as_str()), (0, ""));
        assert!(
            said.contains("It becomes: Left hip flexion, active, 110 degrees.")
                && said.ends_with("Nothing is changed.\n"),
            "{said}"
        );
        assert_eq!(state(home), before, "{typed:?}");
    }
    for (words, why) in [
        ("bananas", "did not understand"),
        ("two hundred and fifty", "does not go to 250"),
        ("one hundred", "says nothing that changes"),
    ] {
        let (status, _, err) = amend(words, "confirm\n");
        assert!(status == 1 && err.contains(why), "{err}");
        assert_eq!(state(home), before, "{words}");
    }
    let (status, _, err) = couchside(home, &["amend", "7", "left"], "confirm\n");
    assert!(status == 1 && err.contains("no finding of number 7"), "{err}");

    let (status, said, err) = amend("one hundred and ten", "confirm\n");
    assert_eq!((status, err.as_str()), (0, ""));
    assert!(
        said.ends_with("Changed. What it was before stays in the history.\n"),
        "{said}"
    );
    assert_eq!(state(home).0, [flexion(Side::Left, 110)]);
    let (_, shown, _) = couchside(home, &["show", "--client", "P-12"], "");
    assert!(shown.contains("signed off, amended"), "{shown}");

    let (status, said, _) = couchside(home, &["amend", "1", "--take-back"], "no\n");
    assert!(status == 0 && said.ends_with("Nothing is changed.\n"), "{said}");
    assert_eq!(state(home).0.len(), 1);
    let (status, said, _) = couchside(
        home,
        &["amend", "1", "--take-back", "--because", "of somebody else"],
        "confirm\n",
    );
    assert!(
        status == 0 && said.ends_with("Taken back. It stays in the history.\n"),
        "{said}"
    );
    assert_eq!(state(home).0, []);
    let (_, history, _) = couchside(home, &["show", "--client", "P-12", "--history"], "");
    assert!(history.contains("because: of somebody else"), "{history}");
}
