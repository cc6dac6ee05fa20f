//! Nobody without the passphrase can read a word of it, nor another user of the computer open the file.

use std::fs;
use std::os::unix::fs::PermissionsExt;

use couchside::finding::{Finding, Kind};

use super::*;

const MARKS: [&str; 5] = [
    "xylophone",
    "markedclient",
    "markedmodel",
    "SQLite format 3",
    WORDS,
];

/// Every byte of every file in the folder.
fn bytes_of(home: &Path) -> Vec<(String, Vec<u8>)> {
    let files = fs::read_dir(home).unwrap().map(|entry| entry.unwrap().path());
    files
        .map(|path| (path.display().to_string(), fs::read(path).unwrap()))
        .collect()
}

fn assert_unreadable(home: &Path, at_least: usize) {
    let files = bytes_of(home);
    assert!(files.len() >= at_least, "{} files", files.len());
    for (name, bytes) in files {
        for mark in MARKS {
            let found = bytes
                .windows(mark.len())
                .any(|window| window.eq_ignore_ascii_case(mark.as_bytes()));
            assert!(!found, "{mark:?} can be read in {name}");
        }
    }
}

#[test]
fn no_word_is_readable_in_any_file_while_open_or_after() {
    let (home, mut record) = new_record();
    let visit = record.visit_for("markedclient").unwrap();
    let mut finding = Finding::new(Kind::Note);
    finding.text = Some("xylophone ".repeat(50));
    let mut heard = source("note xylophone");
    heard.model = "markedmodel".to_owned();
    for _ in 0..40 {
        let proposal = record.propose(visit, &finding, &heard).unwrap();
        record.confirm(visit, &confirmed(proposal, &finding, "")).unwrap();
    }
    record.propose(visit, &finding, &heard).unwrap();
    // The record, its write-ahead log and the log's index.
    assert_unreadable(home.path(), 3);
    drop(record);
    assert_unreadable(home.path(), 1);
}

#[test]
fn the_files_are_for_their_owner_alone() {
    let outer = tempfile::tempdir().unwrap();
    let home = outer.path().join("new/couchside");
    let mut record = Record::create(&home, &passphrase()).unwrap();
    record.visit_for("P-12").unwrap();
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode(&home), 0o700);
    let files: Vec<_> = fs::read_dir(&home)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    assert_eq!(files.len(), 3, "{files:?}");
    for file in files {
        assert_eq!(mode(&file), 0o600, "{}", file.display());
    }
}

#[test]
fn a_folder_that_is_there_already_is_closed_to_others() {
    let home = tempfile::tempdir().unwrap();
    let mode = || fs::metadata(home.path()).unwrap().permissions().mode() & 0o7777;
    fs::set_permissions(home.path(), fs::Permissions::from_mode(0o755)).unwrap();
    drop(Record::create(home.path(), &passphrase()).unwrap());
    assert_eq!(mode(), 0o700);

    // A folder like /tmp, which everybody must be able to use, is left alone.
    fs::remove_file(home.path().join("record.db")).unwrap();
    fs::set_permissions(home.path(), fs::Permissions::from_mode(0o1777)).unwrap();
    drop(Record::create(home.path(), &passphrase()).unwrap());
    assert_eq!(mode(), 0o1777);
}
