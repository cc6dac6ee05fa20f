//! A record that can't be written is said, nothing is pretended, and the visit goes on once it can be.

use std::cell::RefCell;

use couchside::hear::Heard;
use couchside::pipeline::{Scribe, Session, Shown};
use couchside::settings::Settings;
use rusqlite::Connection;

use super::{heard, lines, visit};

const NOT_WRITTEN: &str = "notice That could not be written to the record. The screen tells why.";

#[test]
fn what_could_not_be_written_is_said_and_can_be_said_again() {
    let home = tempfile::tempdir().expect("a folder");
    let told = RefCell::new(Vec::new());
    let mut session = Session::new(visit(home.path()), None, Settings::default(), |shown| {
        match shown {
            Shown::Event(event) => told.borrow_mut().extend(lines(std::slice::from_ref(event))),
            Shown::Hint(text) => told.borrow_mut().push(format!("hint {text}")),
            Shown::Level(_) => {}
        }
        Ok(())
    });
    let take = |session: &mut Session<'_>, words: &str| -> Vec<String> {
        let one: Heard = heard(words);
        session.take(&one).expect("it goes on");
        told.borrow_mut().drain(..).collect()
    };
    take(&mut session, "right hip flexion active one ten");
    // Another program holds the record.
    let other = Connection::open(home.path().join("record.db")).expect("the file");
    other
        .pragma_update(None, "key", "a long throw-away passphrase")
        .expect("the key");
    other.execute_batch("BEGIN IMMEDIATE").expect("it is free");
    let busy = "hint another program has held the record for more than five seconds; close it and try again";
    assert_eq!(take(&mut session, "confirm"), [busy, NOT_WRITTEN]);
    assert_eq!(
        take(&mut session, "left knee flexion active one thirty"),
        [busy, NOT_WRITTEN]
    );
    other.execute_batch("ROLLBACK").expect("it is let go of");
    // What waited still waits; what was dictated meanwhile was not taken, and nothing leans on it.
    assert_eq!(
        take(&mut session, "passive one twenty"),
        [
            "heard",
            "proposed right hip flexion passive: 120°",
            "said Right hip flexion, passive, 120 degrees."
        ]
    );
    assert_eq!(
        take(&mut session, "confirm"),
        [
            "heard",
            "recorded right hip flexion active: 110°",
            "recorded right hip flexion passive: 120°",
            "said Recorded."
        ]
    );
    session.end().expect("everything was written in the end");
}

#[test]
fn a_visit_that_ends_with_something_unwritten_ends_with_an_error() {
    let home = tempfile::tempdir().expect("a folder");
    let mut session = Session::new(visit(home.path()), None, Settings::default(), |_| Ok(()));
    let other = Connection::open(home.path().join("record.db")).expect("the file");
    other
        .pragma_update(None, "key", "a long throw-away passphrase")
        .expect("the key");
    other.execute_batch("BEGIN IMMEDIATE").expect("it is free");
    session
        .take(&heard("right hip flexion active one ten"))
        .expect("it goes on");
    let error = session.end().expect_err("it was not written");
    assert!(
        error
            .to_string()
            .starts_with("another program has held the record"),
        "{error}"
    );
}
