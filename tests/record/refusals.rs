//! What the record refuses, and in which words.

use std::fs;
use std::time::{Duration, Instant};

use couchside::finding::Side;
use couchside::record::RecordError;

use super::*;

#[test]
fn another_passphrase_does_not_open_it() {
    let (home, _record) = new_record();
    for words in ["it's", "IT'S \"four\"; grüne – pékin -- words", "x'00'"] {
        let error = Record::open(home.path(), &Passphrase::new(words.to_owned()).unwrap()).unwrap_err();
        assert!(matches!(error, RecordError::WrongPassphrase), "{error}");
        assert!(
            error
                .to_string()
                .starts_with("the passphrase does not open this record")
        );
        assert!(!error.to_string().contains(words));
    }
}

#[test]
fn an_empty_passphrase_is_refused() {
    let error = Passphrase::new(String::new()).unwrap_err();
    assert_eq!(
        error.to_string(),
        "the passphrase is empty; choose one of several words that you will remember"
    );
    let error = Passphrase::new("before\0after".to_owned()).unwrap_err();
    assert!(
        error
            .to_string()
            .starts_with("the passphrase holds a character that is not text")
    );
}

#[test]
fn no_record_yet() {
    let home = tempfile::tempdir().unwrap();
    let error = Record::open(home.path(), &passphrase()).unwrap_err();
    let folder = home.path().display();
    assert_eq!(
        error.to_string(),
        format!("there is no record in {folder} yet; make one with `couchside record new`")
    );
    assert_eq!(
        fs::read_dir(home.path()).unwrap().count(),
        0,
        "looking for a record makes no file"
    );
}

#[test]
fn a_record_is_never_overwritten() {
    let (home, mut record) = new_record();
    record.visit_for("P-12").unwrap();
    drop(record);
    let before = fs::read(home.path().join("record.db")).unwrap();
    let error = Record::create(home.path(), &passphrase()).unwrap_err();
    assert!(
        error.to_string().contains("already, and it is left as it is"),
        "{error}"
    );
    assert_eq!(fs::read(home.path().join("record.db")).unwrap(), before);
}

#[test]
fn a_plaintext_database_is_no_record() {
    let home = tempfile::tempdir().unwrap();
    let plain = Connection::open(home.path().join("record.db")).unwrap();
    plain.execute_batch("CREATE TABLE acts (id INTEGER)").unwrap();
    drop(plain);
    let error = Record::open(home.path(), &passphrase()).unwrap_err();
    assert!(
        error
            .to_string()
            .contains("is not encrypted, so it is not a record"),
        "{error}"
    );
}

#[test]
fn a_record_of_a_newer_program_is_left_alone() {
    let (home, record) = new_record();
    drop(record);
    raw(home.path()).pragma_update(None, "user_version", 99).unwrap();
    let error = Record::open(home.path(), &passphrase()).unwrap_err();
    let error = error.to_string();
    assert!(
        error.starts_with("this record was written by a newer couchside (form 99, this one knows up to"),
        "{error}"
    );
}

#[test]
fn a_folder_that_cannot_be_made_is_named() {
    let outer = tempfile::tempdir().unwrap();
    let file = outer.path().join("file");
    fs::write(&file, "").unwrap();
    let error = Record::create(&file.join("home"), &passphrase())
        .unwrap_err()
        .to_string();
    assert!(
        error.starts_with(&format!("could not keep a record in {}", file.display())),
        "{error}"
    );
    assert!(
        error.ends_with("choose a folder that you may write in with COUCHSIDE_HOME"),
        "{error}"
    );
}

#[test]
fn another_program_that_holds_the_record_is_waited_for_and_then_reported() {
    let (home, mut record) = new_record();
    let visit = record.visit_for("P-12").unwrap();
    let other = raw(home.path());
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let asked = Instant::now();
    let error = record
        .propose(visit, &flexion(Side::Left, 40), &source("forty"))
        .unwrap_err();
    let waited = asked.elapsed();
    assert!(
        waited >= Duration::from_secs(4) && waited < Duration::from_secs(20),
        "{waited:?}"
    );
    assert_eq!(
        error.to_string(),
        "another program has held the record for more than five seconds; close it and try again"
    );
    // Reading goes on meanwhile, and writing goes on afterwards.
    assert!(record.pending(visit).unwrap().is_empty());
    other.execute_batch("ROLLBACK").unwrap();
    record
        .propose(visit, &flexion(Side::Left, 40), &source("forty"))
        .unwrap();
}

#[test]
fn client_codes() {
    let (_home, mut record) = new_record();
    let longest = "a".repeat(40);
    for code in ["7", "P-12", "left_knee", longest.as_str()] {
        record.visit_for(code).unwrap();
    }
    for code in [
        "",
        " P-12",
        "P 12",
        "Ann Smith",
        "é",
        "a/b",
        "a'b",
        &"a".repeat(41),
    ] {
        let error = record.visit_for(code).unwrap_err();
        assert_eq!(
            error.to_string(),
            "a client code is 1 to 40 characters long: letters from a to z, digits, - and _, with no spaces"
        );
        assert!(matches!(record.case(code), Err(RecordError::ClientCode)));
    }
    assert!(matches!(record.case("P-13"), Err(RecordError::NoClient)));
}

#[test]
fn only_what_waits_can_be_confirmed_and_only_as_it_waits() {
    let (_home, mut record) = new_record();
    let visit = record.visit_for("P-12").unwrap();
    let other = record.visit_for("P-13").unwrap();
    let finding = flexion(Side::Left, 40);
    let proposal = record.propose(visit, &finding, &source("forty")).unwrap();
    let as_said = confirmed(proposal, &finding, "forty");

    let changed = confirmed(proposal, &flexion(Side::Left, 41), "forty");
    assert!(matches!(
        record.confirm(visit, &changed),
        Err(RecordError::NotWhatWaits)
    ));
    assert!(matches!(
        record.confirm(other, &as_said),
        Err(RecordError::NotWhatWaits)
    ));
    let unknown = confirmed(proposal + 1, &finding, "forty");
    assert!(matches!(
        record.confirm(visit, &unknown),
        Err(RecordError::NotWaiting)
    ));
    record.confirm(visit, &as_said).unwrap();
    assert!(matches!(
        record.confirm(visit, &as_said),
        Err(RecordError::NotWaiting)
    ));
    assert!(matches!(record.disregard(proposal), Err(RecordError::NotWaiting)));
    assert!(matches!(
        record.correct_proposal(proposal, &finding, ""),
        Err(RecordError::NotWaiting)
    ));
    assert_eq!(record.case("P-12").unwrap().visits[0].findings.len(), 1);
    record.verify().unwrap();
}
