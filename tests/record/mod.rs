//! The record: what it keeps, what it refuses, and that nobody else can read it.

mod amend;
mod asides;
mod clients;
mod commands;
mod copies;
mod crash;
mod damage;
mod due;
mod history;
mod keeps;
mod model;
mod moving;
mod old;
mod refusals;
mod search;
mod secrecy;
mod table;
mod taken_back;
mod traps;

use std::path::Path;

use couchside::finding::{Degrees, Finding, Kind, Mode, Side};
use couchside::readback::{Confirmed, Proposal, Settle, Step, TakenBack};
use couchside::record::{Passphrase, Record, Source, VisitId};
use rusqlite::Connection;
use tempfile::TempDir;

pub(crate) const WORDS: &str = "it's \"four\"; grüne – pékin -- words";

pub(crate) fn passphrase() -> Passphrase {
    Passphrase::new(WORDS.to_owned()).unwrap()
}

/// A new record in a folder of its own.
pub(crate) fn new_record() -> (TempDir, Record) {
    let home = tempfile::tempdir().unwrap();
    let record = Record::create(home.path(), &passphrase()).unwrap();
    (home, record)
}

pub(crate) fn reopened(home: &Path) -> Record {
    Record::open(home, &passphrase()).unwrap()
}

fn flexion(side: Side, degrees: i32) -> Finding {
    let mut finding = Finding::new(Kind::Movement);
    finding.side = Some(side);
    finding.joint = Some("hip".to_owned());
    finding.movement = Some("flexion".to_owned());
    finding.mode = Some(Mode::Active);
    finding.degrees = Some(Degrees {
        from: None,
        to: degrees,
    });
    finding
}

fn source(words: &str) -> Source {
    Source {
        words: words.to_owned(),
        model: "tiny.en".to_owned(),
        grammar: "sha256:1234".to_owned(),
    }
}

/// Says a proposal back and confirms it, the only way to a `Confirmed`.
fn confirmed(id: i64, finding: &Finding, heard: &str) -> Confirmed {
    let mut settle = Settle::default();
    settle.propose(Proposal {
        id,
        finding: finding.clone(),
        heard: heard.to_owned(),
    });
    match settle.confirm() {
        Step::Confirmed(mut all) => all.remove(0),
        other => panic!("not confirmed: {other:?}"),
    }
}

fn record_one(record: &mut Record, visit: VisitId, finding: &Finding, heard: &str) -> i64 {
    let proposal = record.propose(visit, finding, &source(heard)).unwrap();
    record
        .confirm(visit, &confirmed(proposal, finding, heard))
        .unwrap()
        .id
}

/// Asks whether to take it back, and confirms, the only way to a `TakenBack`.
fn taken_back(id: i64, finding: &Finding) -> TakenBack {
    let mut settle = Settle::default();
    settle.ask_back(id, finding.clone());
    match settle.confirm() {
        Step::TakeBack(taken_back) => *taken_back,
        other => panic!("not taken back: {other:?}"),
    }
}

/// The file behind the record's back, with the right key.
fn raw(home: &Path) -> Connection {
    let conn = Connection::open(home.join("record.db")).unwrap();
    conn.pragma_update(None, "key", WORDS).unwrap();
    conn
}
