//! Once `confirm` has returned, neither a kill nor a power cut loses the finding.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};

use couchside::finding::Side;

use super::*;

const CHILD_HOME: &str = "COUCHSIDE_TEST_CRASH_HOME";

/// Writes until it is killed, saying after each call what is safe by now.
fn writes_until_killed(home: &Path) {
    let mut record = reopened(home);
    let visit = record.visit_for("P-12").unwrap();
    for degrees in 0.. {
        let finding = flexion(Side::Left, degrees);
        let proposal = record
            .propose(visit, &finding, &source("left hip flexion"))
            .unwrap();
        println!("waiting {proposal}");
        if degrees % 2 == 0 {
            println!(
                "recorded {}",
                record
                    .confirm(visit, &confirmed(proposal, &finding, ""))
                    .unwrap()
                    .id
            );
        }
    }
}

#[test]
fn a_kill_loses_nothing_that_was_recorded_or_waiting() {
    // The test runs itself once more, in a process of its own that is killed.
    if let Some(home) = std::env::var_os(CHILD_HOME) {
        return writes_until_killed(home.as_ref());
    }
    let (home, record) = new_record();
    drop(record);
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args([
            "record::crash::a_kill_loses_nothing_that_was_recorded_or_waiting",
            "--exact",
            "--nocapture",
        ])
        .env(CHILD_HOME, home.path())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let (mut recorded, mut waiting) = (Vec::new(), 0);
    let mut killed = false;
    // After the kill, what the child had said before it is still read to the end.
    for line in BufReader::new(child.stdout.take().unwrap()).lines() {
        let line = line.unwrap();
        // The test harness's own words may stand before the first.
        if let Some((_, id)) = line.split_once("recorded ") {
            recorded.push(id.parse::<i64>().unwrap());
        } else if let Some((_, id)) = line.split_once("waiting ") {
            waiting = id.parse().unwrap();
        }
        if recorded.len() >= 20 && !killed {
            child.kill().unwrap();
            killed = true;
        }
    }
    assert!(!child.wait().unwrap().success());
    assert!(recorded.len() >= 20);

    let mut record = reopened(home.path());
    record.verify().unwrap();
    let visit = record.visit_for("P-12").unwrap();
    let kept: Vec<i64> = record.case("P-12").unwrap().visits[0]
        .findings
        .iter()
        .map(|kept| kept.id)
        .collect();
    // The kill may have come between the last commit and the word of it, so one more may be there.
    assert!(
        kept.starts_with(&recorded) && kept.len() <= recorded.len() + 1,
        "{kept:?} {recorded:?}"
    );
    let pending: Vec<i64> = record
        .pending(visit)
        .unwrap()
        .iter()
        .map(|proposal| proposal.id)
        .collect();
    let expected = (1..=waiting).filter(|id| id % 2 == 0);
    assert!(expected.clone().all(|id| pending.contains(&id)), "{pending:?}");
}

/// What a power cut leaves is what is in the files at that moment; the log's index, which lives in memory, is
/// gone.
#[test]
fn the_files_as_they_are_right_after_the_confirmation_hold_it() {
    let (home, mut record) = new_record();
    let visit = record.visit_for("P-12").unwrap();
    let id = record_one(&mut record, visit, &flexion(Side::Left, 40), "left forty");
    let after = tempfile::tempdir().unwrap();
    for file in ["record.db", "record.db-wal"] {
        fs::copy(home.path().join(file), after.path().join(file)).unwrap();
    }
    let record = reopened(after.path());
    record.verify().unwrap();
    assert_eq!(record.case("P-12").unwrap().visits[0].findings[0].id, id);
}
