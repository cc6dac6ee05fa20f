//! The chain of acts: each carries the hash of the one before, so that the past cannot be changed unseen.

use rusqlite::{Connection, OptionalExtension, Row, Transaction};
use sha2::{Digest, Sha256};

use super::RecordError;
use super::act::{Act, Deed};
use super::project::project;

/// Stands for the hash before the first act; the schema's trigger knows the same.
const BEGINNING: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// Adds an act at the end of the chain and writes what it amounts to.
pub(super) fn append(tx: &Transaction, deed: Deed) -> Result<Act, RecordError> {
    let (last, prior) = tx
        .query_row("SELECT id, hash FROM acts ORDER BY id DESC LIMIT 1", [], |row| {
            Ok((row.get(0)?, row.get(1)?))
        })
        .optional()?
        .unwrap_or((0, BEGINNING.to_owned()));
    // Milliseconds are as fine as people speak.
    let at = format!("{:.3}", jiff::Timestamp::now());
    let act = Act {
        id: last + 1,
        at,
        deed,
    };
    let (what, body) = act.deed.to_words().map_err(|_| unreadable(act.id))?;
    let hash = link(&prior, &act.at, &what, &body);
    tx.execute(
        "INSERT INTO acts (id, at, what, body, prior, hash) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        (act.id, &act.at, what, body, prior, hash),
    )?;
    project(tx, &act)?;
    Ok(act)
}

/// Hands every act to `each`, oldest first, and checks the chain on the way. Returns how many there are.
pub(super) fn walk(
    conn: &Connection,
    mut each: impl FnMut(&Act) -> Result<(), RecordError>,
) -> Result<i64, RecordError> {
    let mut acts = conn.prepare("SELECT id, at, what, body, prior, hash FROM acts ORDER BY id")?;
    let mut rows = acts.query([])?;
    let (mut count, mut before) = (0, BEGINNING.to_owned());
    while let Some(row) = rows.next()? {
        let (act, hash) = checked(row, count + 1, &before)?;
        each(&act)?;
        (count, before) = (act.id, hash);
    }
    Ok(count)
}

fn checked(row: &Row, expected: i64, before: &str) -> Result<(Act, String), RecordError> {
    let (id, at): (i64, String) = (row.get(0)?, row.get(1)?);
    let (what, body): (String, String) = (row.get(2)?, row.get(3)?);
    let (prior, hash): (String, String) = (row.get(4)?, row.get(5)?);
    if id != expected {
        return Err(RecordError::Damaged(format!(
            "act {expected} of its history is missing"
        )));
    }
    if prior != before {
        return Err(RecordError::Damaged(format!(
            "act {id} of its history does not follow the one before"
        )));
    }
    if hash != link(&prior, &at, &what, &body) {
        return Err(RecordError::Damaged(format!(
            "act {id} of its history was changed after it was written"
        )));
    }
    let deed = Deed::from_words(&what, &body).map_err(|_| unreadable(id))?;
    Ok((Act { id, at, deed }, hash))
}

/// The hash of an act: SHA-256 over its four parts, one to a line. Only the body could hold a line break, and
/// compact JSON never does, so no two acts make the same lines.
fn link(prior: &str, at: &str, what: &str, body: &str) -> String {
    let digest = Sha256::digest(format!("{prior}\n{at}\n{what}\n{body}"));
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn unreadable(id: i64) -> RecordError {
    RecordError::Damaged(format!("act {id} of its history cannot be read"))
}
