//! Copies of the record: whole, encrypted, and never in the place of something else.

use std::fs;
use std::os::unix::fs::MetadataExt;
use std::sync::atomic::{AtomicBool, Ordering};

use couchside::finding::Side;
use couchside::record::RecordError;

use super::*;

fn filled() -> (TempDir, Record) {
    let (home, mut record) = new_record();
    let visit = record.visit_for("P-12").unwrap();
    for degrees in [110, 95, 100] {
        record_one(
            &mut record,
            visit,
            &flexion(Side::Right, degrees),
            "right hip flexion",
        );
    }
    (home, record)
}

#[test]
fn a_copy_restores_the_same_case() {
    let (home, record) = filled();
    let copy = home.path().join("copy.db");
    assert_eq!(record.back_up(&copy, &passphrase()).unwrap().findings, 3);
    assert_eq!(fs::metadata(&copy).unwrap().mode() & 0o777, 0o600);
    let other = tempfile::tempdir().unwrap();
    let folder = other.path().join("elsewhere");
    assert_eq!(
        Record::restore(&copy, &folder, &passphrase()).unwrap().findings,
        3
    );
    let mut restored = reopened(&folder);
    assert_eq!(restored.case("P-12").unwrap(), record.case("P-12").unwrap());
    // It goes on as a record of its own.
    let visit = restored.visit_for("P-12").unwrap();
    record_one(&mut restored, visit, &flexion(Side::Left, 90), "left ninety");
    restored.verify().unwrap();
    assert_eq!(record.case("P-12").unwrap().visits[0].findings.len(), 3);
    let left: Vec<_> = fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .collect();
    assert!(
        left.iter()
            .all(|name| name.to_string_lossy().starts_with("record.db")),
        "{left:?}"
    );
}

#[test]
fn a_copy_is_taken_while_findings_are_recorded() {
    let (home, record) = filled();
    let stop = AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            let mut busy = reopened(home.path());
            let visit = busy.visit_for("P-12").unwrap();
            let mut degrees = 0;
            while !stop.load(Ordering::Relaxed) {
                degrees = (degrees + 1) % 120;
                record_one(&mut busy, visit, &flexion(Side::Left, degrees), "left");
            }
        });
        for number in 0..10 {
            let copy = home.path().join(format!("copy-{number}.db"));
            let before = record.case("P-12").unwrap().visits[0].findings.len() as i64;
            let whole = record.back_up(&copy, &passphrase()).unwrap();
            let after = record.case("P-12").unwrap().visits[0].findings.len() as i64;
            assert!(
                (before..=after).contains(&whole.findings),
                "{before} {whole:?} {after}"
            );
        }
        stop.store(true, Ordering::Relaxed);
    });
    record.verify().unwrap();
}

#[test]
fn nothing_is_overwritten() {
    let (home, record) = filled();
    let there = home.path().join("there");
    fs::write(&there, "something else").unwrap();
    let error = record.back_up(&there, &passphrase()).unwrap_err();
    assert!(matches!(error, RecordError::CopyExists(_)), "{error}");
    assert_eq!(fs::read(&there).unwrap(), b"something else");
    let copy = home.path().join("copy.db");
    record.back_up(&copy, &passphrase()).unwrap();
    let error = Record::restore(&copy, home.path(), &passphrase()).unwrap_err();
    assert!(matches!(error, RecordError::RecordExists(_)), "{error}");
}

#[test]
fn what_is_no_whole_copy_is_not_restored() {
    let (home, record) = filled();
    let copy = home.path().join("copy.db");
    record.back_up(&copy, &passphrase()).unwrap();
    let bytes = fs::read(&copy).unwrap();
    let spoilt = |at: usize| {
        let mut bytes = bytes.clone();
        bytes[at] ^= 1;
        bytes
    };
    for (what, bytes) in [
        ("a byte changed", spoilt(bytes.len() / 2)),
        ("its first byte changed", spoilt(0)),
        ("cut short", bytes[..bytes.len() - 4096].to_vec()),
        ("cut in the middle of a page", bytes[..bytes.len() - 100].to_vec()),
        ("empty", Vec::new()),
        ("something else", b"a letter to nobody".to_vec()),
    ] {
        let file = home.path().join("spoilt");
        fs::write(&file, bytes).unwrap();
        let folder = home.path().join("restored");
        let error = Record::restore(&file, &folder, &passphrase()).unwrap_err();
        println!("{what}: {error}");
        assert!(!Record::exists(&folder), "{what}");
    }
    let missing = home.path().join("missing");
    let error = Record::restore(&missing, &home.path().join("restored"), &passphrase()).unwrap_err();
    assert!(matches!(error, RecordError::NoCopy(_)), "{error}");
    let other = Passphrase::new("another one".into()).unwrap();
    let error = Record::restore(&copy, &home.path().join("restored"), &other).unwrap_err();
    assert!(matches!(error, RecordError::WrongPassphrase), "{error}");
}

#[test]
fn a_copy_that_can_not_be_written_is_named() {
    let (home, record) = filled();
    let nowhere = home.path().join("no such folder").join("copy.db");
    let error = record.back_up(&nowhere, &passphrase()).unwrap_err().to_string();
    assert!(
        error.starts_with(&format!("could not write the copy {}", nowhere.display())),
        "{error}"
    );
    // The record goes on.
    record.verify().unwrap();
}
