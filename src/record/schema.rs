//! The form of the record's tables, and how an older record is brought up to date.

use rusqlite::{Connection, TransactionBehavior};

use super::RecordError;

/// One entry for each form, in order. A released one is never edited: a change is a new file.
const MIGRATIONS: [&str; 7] = [
    include_str!("migrations/0001-acts-and-what-they-amount-to.sql"),
    include_str!("migrations/0002-findings-taken-back.sql"),
    include_str!("migrations/0003-what-was-not-understood-and-sound.sql"),
    include_str!("migrations/0004-not-understood-in-vain.sql"),
    include_str!("migrations/0005-who-details-removal-and-subjects.sql"),
    include_str!("migrations/0006-searched-tables.sql"),
    include_str!("migrations/0007-talk-until-it-is-reviewed.sql"),
];
/// The form that this program writes.
const KNOWN: u32 = MIGRATIONS.len() as u32;

/// Refuses a file that holds no record yet, and one whose form this program does not know.
pub(super) fn check(conn: &Connection) -> Result<(), RecordError> {
    match form(conn)? {
        0 => Err(RecordError::Incomplete),
        found if found > KNOWN => Err(RecordError::Newer { found, known: KNOWN }),
        _ => Ok(()),
    }
}

/// The form, if this program would bring it up to date.
pub(super) fn is_old(conn: &Connection) -> Result<Option<u32>, RecordError> {
    Ok(Some(form(conn)?).filter(|form| (1..KNOWN).contains(form)))
}

/// Brings the tables to the present form, in one transaction: all of it or nothing.
pub(super) fn migrate(conn: &mut Connection) -> Result<(), RecordError> {
    if form(conn)? == KNOWN {
        return Ok(());
    }
    let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Read again: another program may have done it while this one waited.
    for migration in MIGRATIONS.iter().skip(form(&tx)? as usize) {
        tx.execute_batch(migration)?;
    }
    tx.pragma_update(None, "user_version", KNOWN)?;
    tx.commit()?;
    Ok(())
}

fn form(conn: &Connection) -> Result<u32, RecordError> {
    Ok(conn.pragma_query_value(None, "user_version", |row| row.get(0))?)
}
