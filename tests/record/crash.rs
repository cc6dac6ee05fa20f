//! Once `confirm` has returned, neither a kill nor a power cut loses the finding.

use std::collections::BTreeSet;
use std::fs;
use std::io::{BufRead, BufReader, Read};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use couchside::finding::Side;

use super::*;

const CHILD_HOME: &str = "COUCHSIDE_TEST_CRASH_HOME";

/// Writes until it is killed, saying after each call what is safe by now.
fn writes_until_killed(home: &Path) {
    let mut record = quickly_opened(home);
    let visit = record.visit_for("P-12").unwrap();
    for degrees in 0.. {
        let finding = flexion(Side::Left, degrees % 150);
        let proposal = record
            .propose(visit, &finding, &source("left hip flexion"))
            .unwrap();
        println!("waiting {proposal}");
        if degrees % 2 == 0 {
            let id = record
                .confirm(visit, &confirmed(proposal, &finding, ""))
                .unwrap()
                .id;
            println!("recorded {id} of {proposal}");
        }
    }
}

const KILLS: u64 = 500;
/// Moments from the first thing that is said to the kill, in microseconds; the same every time.
const SEED: u64 = 20_261_127;
const LATEST_US: u64 = 40_000;

#[test]
fn killed_at_any_moment_it_loses_nothing_that_was_recorded_or_waits() {
    // The test runs itself once more, in a process of its own that is killed.
    if let Some(home) = std::env::var_os(CHILD_HOME) {
        return writes_until_killed(home.as_ref());
    }
    let home = quick_record();
    let mut moment = SEED;
    let (mut recorded, mut waiting) = (BTreeSet::new(), BTreeSet::new());
    for kill in 0..KILLS {
        // Knuth's generator for 64 bits.
        moment = moment
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let mut child =
            again("record::crash::killed_at_any_moment_it_loses_nothing_that_was_recorded_or_waits")
                .env(CHILD_HOME, home.path())
                .spawn()
                .unwrap();
        let mut said = BufReader::new(child.stdout.take().unwrap());
        let mut all = String::new();
        while !all.contains("waiting ") {
            assert!(said.read_line(&mut all).unwrap() > 0, "{all}");
        }
        std::thread::sleep(Duration::from_micros((moment >> 33) % LATEST_US));
        child.kill().unwrap();
        // What the child had said before is still read to its end; the last line may be half a line.
        said.read_to_string(&mut all).unwrap();
        assert!(!child.wait().unwrap().success());
        for line in all.lines().take(all.matches('\n').count()) {
            // The test harness's own words may stand before the first.
            if let Some((_, ids)) = line.split_once("recorded ") {
                let (id, proposal) = ids.split_once(" of ").unwrap();
                recorded.insert(id.parse::<i64>().unwrap());
                waiting.remove(&proposal.parse::<i64>().unwrap());
            } else if let Some((_, id)) = line.split_once("waiting ") {
                waiting.insert(id.parse::<i64>().unwrap());
            }
        }
        let mut record = quickly_opened(home.path());
        record
            .verify()
            .unwrap_or_else(|error| panic!("kill {kill}: {error}"));
        let visit = record.visit_for("P-12").unwrap();
        let kept: BTreeSet<i64> = record.case("P-12").unwrap().visits[0]
            .findings
            .iter()
            .map(|kept| kept.id)
            .collect();
        let pending: BTreeSet<i64> = record.pending(visit).unwrap().iter().map(|p| p.id).collect();
        assert!(recorded.is_subset(&kept), "kill {kill} lost what was recorded");
        // The kill may have come between a commit and the word of it: one more recorded, one fewer waiting.
        assert!(kept.len() <= recorded.len() + 1, "kill {kill} made something up");
        assert!(
            waiting.difference(&pending).count() <= kept.len() - recorded.len(),
            "kill {kill} lost what waits"
        );
        (recorded, waiting) = (kept, pending);
    }
    println!(
        "{KILLS} kills: {} recorded, {} waiting",
        recorded.len(),
        waiting.len()
    );
}

/// This test program once more, with one test.
fn again(test: &str) -> Command {
    let mut command = Command::new(std::env::current_exe().unwrap());
    command
        .args([test, "--exact", "--nocapture"])
        .stdout(Stdio::piped())
        .stderr(Stdio::null());
    command
}

/// A passphrase from which no key need be made, which is slow on purpose: it is one. So the record can be opened thousands of times.
fn quick() -> Passphrase {
    Passphrase::new(format!("x'{}'", "0123456789abcdef".repeat(6))).unwrap()
}

fn quick_record() -> TempDir {
    let home = tempfile::tempdir().unwrap();
    Record::create(home.path(), &quick()).unwrap();
    home
}

fn quickly_opened(home: &Path) -> Record {
    Record::open(home, &quick()).unwrap()
}

/// A power cut may leave any part of the log that was being written: with every length that the log of a confirmation can have, the
/// record is whole, and what was recorded before is there.
#[test]
fn the_log_cut_at_every_byte_of_the_last_confirmation_loses_nothing_before_it() {
    let home = quick_record();
    let mut record = quickly_opened(home.path());
    let visit = record.visit_for("P-12").unwrap();
    let first = record_one(&mut record, visit, &flexion(Side::Left, 40), "left forty");
    let finding = flexion(Side::Right, 50);
    let proposal = record.propose(visit, &finding, &source("right fifty")).unwrap();
    let log = home.path().join("record.db-wal");
    let before = fs::metadata(&log).unwrap().len() as usize;
    let last = record
        .confirm(visit, &confirmed(proposal, &finding, ""))
        .unwrap()
        .id;
    let (file, log) = (
        fs::read(home.path().join("record.db")).unwrap(),
        fs::read(&log).unwrap(),
    );
    assert!(before > 0 && log.len() > before);
    let after = tempfile::tempdir().unwrap();
    for length in before..=log.len() {
        let _ = fs::remove_file(after.path().join("record.db-shm"));
        fs::write(after.path().join("record.db"), &file).unwrap();
        fs::write(after.path().join("record.db-wal"), &log[..length]).unwrap();
        let record = quickly_opened(after.path());
        let kept: Vec<i64> = record.case("P-12").unwrap().visits[0]
            .findings
            .iter()
            .map(|kept| kept.id)
            .collect();
        let pending = record.pending(visit).unwrap().len();
        // All of the last confirmation or nothing of it, and all of it once it was announced.
        let whole = length == log.len();
        assert!(
            (kept == [first, last] && pending == 0) || (!whole && kept == [first] && pending == 1),
            "{length}: {kept:?}"
        );
        // Every page and every act; at each byte it would take long.
        if length % 97 == 0 || whole {
            record
                .verify()
                .unwrap_or_else(|error| panic!("{length}: {error}"));
        }
    }
    println!("{} lengths of the log", log.len() - before + 1);
}

/// Does one thing after the other, saying what is safe by now, until the disk is full.
fn writes_until_full(home: &Path) {
    // Whatever can't be done is said as that, and ends it.
    let full = |error: couchside::record::RecordError| {
        let said = error.to_string();
        assert!(
            said.contains("the disk is full")
                || said.contains("it may be full")
                || said.contains("check that you may write"),
            "{said}"
        );
        println!("full {said}");
    };
    let mut record = match Record::open(home, &quick()) {
        Ok(record) => record,
        Err(error) => return full(error),
    };
    let visit = match record.visit_for("P-12") {
        Ok(visit) => visit,
        Err(error) => return full(error),
    };
    for degrees in 0..10 {
        let finding = flexion(Side::Left, degrees);
        let proposal = match record.propose(visit, &finding, &source("left")) {
            Ok(proposal) => proposal,
            Err(error) => return full(error),
        };
        println!("waiting {proposal}");
        match record.confirm(visit, &confirmed(proposal, &finding, "")) {
            Ok(recorded) => println!("recorded {}", recorded.id),
            Err(error) => return full(error),
        }
    }
}

/// The disk is full at every page that is written, one after the other: nothing that was announced is missing, and it is said.
#[test]
fn a_disk_that_is_full_at_any_write_loses_nothing() {
    if let Some(home) = std::env::var_os(CHILD_HOME) {
        return writes_until_full(home.as_ref());
    }
    let (mut stopped, mut most) = (0, 0);
    for kib in (0..).step_by(4) {
        let home = quick_record();
        // The system lets no file grow beyond so many KiB, as it does when the disk is full.
        let output = Command::new("bash")
            .args(["-c", "trap '' XFSZ; ulimit -f $0; exec \"$@\"", &kib.to_string()])
            .arg(std::env::current_exe().unwrap())
            .args([
                "record::crash::a_disk_that_is_full_at_any_write_loses_nothing",
                "--exact",
                "--nocapture",
            ])
            .env(CHILD_HOME, home.path())
            .output()
            .unwrap();
        let said = String::from_utf8(output.stdout).unwrap();
        assert!(
            output.status.success(),
            "{kib}: {said} {}",
            String::from_utf8_lossy(&output.stderr)
        );
        let mut record = quickly_opened(home.path());
        record
            .verify()
            .unwrap_or_else(|error| panic!("{kib} KiB: {error}"));
        let visit = record.visit_for("P-12").unwrap();
        let kept = record.case("P-12").unwrap().visits[0].findings.len();
        let pending = record.pending(visit).unwrap().len();
        let (recorded, waiting) = (
            said.matches("recorded ").count(),
            said.matches("waiting ").count(),
        );
        assert_eq!(
            (kept, pending),
            (recorded, waiting - recorded),
            "{kib} KiB: {said}"
        );
        stopped += usize::from(said.contains("full "));
        most = most.max(recorded);
        if recorded == 10 && !said.contains("full ") {
            break;
        }
    }
    assert!(stopped > 10 && most == 10, "{stopped} {most}");
    println!("full at {stopped} places");
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
