//! What the acts amount to, made anew from them.

use rusqlite::Connection;

use super::project::project;
use super::{Record, RecordError, chain, index};

/// The tables that are made of the acts, each before those that it belongs to. The sound of clips, the talk beside and the transcripts are not.
const MADE: [&str; 9] = [
    "findings_words",
    "subjects",
    "findings",
    "clips",
    "unclear",
    "proposals",
    "visits",
    "clients",
    "given",
];

impl Record {
    /// Empties every table that the acts amount to and fills it from them again, in one transaction. `progress` is told how many of
    /// how many acts are done. Returns how many there are.
    ///
    /// # Errors
    /// An act is damaged or missing, or the record cannot be written. Then it is as it was.
    pub fn rebuild(&mut self, mut progress: impl FnMut(i64, i64)) -> Result<i64, RecordError> {
        self.write(|tx| make(tx, &mut progress))
    }
}

/// Empties and fills them, within a transaction.
pub(super) fn make(tx: &Connection, mut progress: impl FnMut(i64, i64)) -> Result<i64, RecordError> {
    // Rows that belong to others are gone for a moment.
    tx.pragma_update(None, "defer_foreign_keys", true)?;
    let all = tx.query_row("SELECT count(*) FROM acts", [], |row| row.get(0))?;
    for table in MADE {
        tx.execute(&format!("DELETE FROM {table}"), [])?;
    }
    let acts = chain::walk(tx, |act| {
        progress(act.id, all);
        project(tx, act)
    })?;
    index::catch_up(tx)?;
    Ok(acts)
}
