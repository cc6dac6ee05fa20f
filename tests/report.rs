//! Reports, with the program as it is run: what is in them, and what is not.

use std::path::Path;
use std::process::{Command, Output};

use couchside::record::{ClientDetails, VisitDetails};
use tempfile::TempDir;

use crate::compare::visited;

/// A case with a name, words that look like markup, and a signed visit that was amended.
fn a_case() -> TempDir {
    let (home, mut record) = visited();
    let details = ClientDetails {
        name: Some("N. N.".into()),
        born: Some(1980),
        referrer: Some("Dr <Example> & partners".into()),
        cautions: Some("left hip replaced in 2019".into()),
        ..ClientDetails::default()
    };
    record.describe_client("P-12", details).unwrap();
    let visit = record.visit_of("P-12", Some(3)).unwrap();
    let written = VisitDetails {
        history: Some("stairs hurt | since *Monday*".into()),
        assessment: Some("<b>better</b> than in August".into()),
        plan: Some("again in two weeks".into()),
        ..VisitDetails::default()
    };
    record.describe_visit(visit, written).unwrap();
    record.sign_visit(visit, false).unwrap();
    drop(record);
    let mut amend = program(
        &home,
        &["amend", "14", "one", "oh", "five", "--because", "misheard"],
    );
    let mut amend = amend
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::null())
        .spawn()
        .unwrap();
    std::io::Write::write_all(amend.stdin.as_mut().unwrap(), b"confirm\n").unwrap();
    drop(amend.stdin.take());
    assert!(amend.wait().unwrap().success());
    home
}

fn program(home: &TempDir, words: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_couchside"));
    command
        .args(words)
        .env("COUCHSIDE_HOME", home.path())
        .env_remove("COUCHSIDE_PASSPHRASE_FILE")
        .env("COUCHSIDE_PASSPHRASE", crate::record::WORDS);
    command
}

fn report(home: &TempDir, kind: &str, file: &Path, more: &[&str]) -> Output {
    let file = file.to_str().unwrap();
    let words = ["report", kind, "--client", "P-12", "--output", file];
    program(home, &[&words, more].concat()).output().unwrap()
}

#[test]
fn each_kind_is_written_in_each_form() {
    let home = a_case();
    let out = tempfile::tempdir().unwrap();
    for (kind, holds) in [
        (
            "note",
            &[
                "Subjective",
                "Objective",
                "124°",
                "Assessment",
                "again in two weeks",
                "signed off",
            ][..],
        ),
        (
            "progress",
            &[
                "scaption, active",
                "within measurement error",
                "MDC95 8°",
                "Over the visits",
                "118°",
            ],
        ),
        (
            "letter",
            &["Thank you for referring P-12", "Dr <Example> & partners", "140°"],
        ),
    ] {
        for form in ["md", "html", "pdf"] {
            let file = out.path().join(format!("{kind}.{form}"));
            let done = report(&home, kind, &file, &[]);
            assert!(done.status.success(), "{kind} {form}: {done:?}");
            let bytes = std::fs::read(&file).unwrap();
            let text = match form {
                "pdf" => {
                    let read = Command::new("pdftotext")
                        .arg("-layout")
                        .arg(&file)
                        .arg("-")
                        .output();
                    String::from_utf8(read.expect("this test needs pdftotext installed").stdout).unwrap()
                }
                _ => String::from_utf8(bytes.clone()).unwrap(),
            };
            let read = text
                .replace("&lt;", "<")
                .replace("&gt;", ">")
                .replace("&amp;", "&");
            let read: String = read
                .replace('\\', "")
                .split_whitespace()
                .collect::<Vec<_>>()
                .join(" ");
            for words in holds {
                assert!(read.contains(words), "{kind} {form}: {words} in {read}");
            }
            assert!(!read.contains("N. N."), "{kind} {form} names the client");
            if form == "html" {
                assert!(!text.contains("<b>better") && !text.contains("<script"), "{text}");
            }
            // The same case gives the same bytes, and nothing that is there is overwritten.
            let again = out.path().join(format!("again.{form}"));
            assert!(report(&home, kind, &again, &[]).status.success());
            assert_eq!(bytes, std::fs::read(&again).unwrap(), "{kind} {form}");
            assert!(!report(&home, kind, &again, &[]).status.success());
            std::fs::remove_file(again).unwrap();
        }
    }
    let history = program(&home, &["show", "--client", "P-12", "--history"])
        .output()
        .unwrap();
    let history = String::from_utf8(history.stdout).unwrap();
    assert_eq!(history.matches("note as pdf, visit 3").count(), 2, "{history}");
}

#[test]
fn a_name_and_amendments_are_there_where_they_belong() {
    let home = a_case();
    let out = tempfile::tempdir().unwrap();
    let file = out.path().join("note.md");
    assert!(report(&home, "note", &file, &["--with-name"]).status.success());
    let note = std::fs::read_to_string(&file).unwrap();
    for words in [
        "N. N.",
        "left hip replaced",
        "Changed after the sign-off",
        "misheard",
        "(amended)",
    ] {
        assert!(note.contains(words), "{words} in {note}");
    }
    // Of a visit in which nothing was written there are no empty headings.
    let file = out.path().join("first.md");
    assert!(report(&home, "note", &file, &["--visit", "1"]).status.success());
    let first = std::fs::read_to_string(file).unwrap();
    assert!(
        !first.contains("Assessment") && first.contains("not signed off"),
        "{first}"
    );
}

#[test]
fn what_was_taken_back_after_the_sign_off_is_an_amendment_too() {
    let home = a_case();
    let mut back = program(&home, &["amend", "15", "--take-back", "--because", "wrong side"]);
    let mut back = back
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::null())
        .spawn()
        .unwrap();
    std::io::Write::write_all(back.stdin.as_mut().unwrap(), b"confirm\n").unwrap();
    drop(back.stdin.take());
    assert!(back.wait().unwrap().success());
    let out = tempfile::tempdir().unwrap();
    let file = out.path().join("note.md");
    assert!(report(&home, "note", &file, &[]).status.success());
    let note = std::fs::read_to_string(&file).unwrap();
    assert!(
        note.contains("taken back, right hip flexion passive") && note.contains("wrong side"),
        "{note}"
    );
}

#[test]
fn nothing_is_there_that_does_not_stand_in_the_history() {
    let home = a_case();
    let out = tempfile::tempdir().unwrap();
    let mut words = vec!["export", "csv", "--client", "P-12", "--output"];
    let file = out.path().join("findings.csv");
    words.push(file.to_str().unwrap());
    // Nothing is written over, and then nothing is said to have been given.
    std::fs::write(&file, "mine").unwrap();
    let refused = program(&home, &words).output().unwrap();
    assert_eq!(refused.status.code(), Some(1), "{refused:?}");
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "mine");
    assert_eq!(std::fs::read_dir(out.path()).unwrap().count(), 1);
    let history = |home: &TempDir| {
        let shown = program(home, &["show", "--client", "P-12", "--history"])
            .output()
            .unwrap();
        String::from_utf8(shown.stdout).unwrap()
    };
    assert!(!history(&home).contains("csv, all visits"));
    std::fs::remove_file(&file).unwrap();
    assert!(program(&home, &words).output().unwrap().status.success());
    assert_eq!(history(&home).matches("csv, all visits").count(), 1);
    assert_eq!(std::fs::read_dir(out.path()).unwrap().count(), 2);
}

#[test]
fn a_therapists_own_report_takes_the_place_of_the_programs() {
    let home = a_case();
    let out = tempfile::tempdir().unwrap();
    std::fs::create_dir(home.path().join("reports")).unwrap();
    let own = home.path().join("reports/note.toml");
    std::fs::write(
        &own,
        "title = \"Short note\"\n[[part]]\ntext = \"Seen on {date}.\"\n",
    )
    .unwrap();
    let file = out.path().join("note.md");
    assert!(report(&home, "note", &file, &[]).status.success());
    assert_eq!(
        std::fs::read_to_string(&file).unwrap().trim(),
        "# Short note\n\nSeen on 5 October 2026."
    );
    for (slip, told) in [
        (
            "title = \"x\"\n[[part]]\nshow = \"nothing such\"\n",
            "note.toml:3",
        ),
        ("titel = \"x\"\n", "note.toml:1"),
    ] {
        std::fs::write(&own, slip).unwrap();
        let refused = report(&home, "note", &out.path().join("other.md"), &[]);
        let said = String::from_utf8(refused.stderr).unwrap();
        assert!(refused.status.code() == Some(1) && said.contains(told), "{said}");
    }
    let refused = report(&home, "note", &out.path().join("note.doc"), &[]);
    assert_eq!(refused.status.code(), Some(2));
}
