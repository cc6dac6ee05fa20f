//! Talk that was no dictation: kept while its visit is open, so that what was missed can be found, and no longer.

use rusqlite::Connection;
use serde::{Deserialize, Serialize};

use super::visits::must_be_open;
use super::{Record, RecordError, VisitId};

/// How long talk is kept.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TalkKept {
    /// Until the visit in which it was said is signed off.
    #[default]
    UntilReviewed,
    /// Not at all.
    Never,
}

impl Record {
    /// Keeps the words of an aside until the visit is signed off. It is no act: nothing of it stays.
    ///
    /// # Errors
    /// The visit is closed or not there, or the record cannot be written.
    pub fn keep_aside(&mut self, visit: VisitId, heard: &str) -> Result<(), RecordError> {
        self.write(|tx| {
            must_be_open(tx, visit)?;
            tx.execute(
                "INSERT INTO asides (visit, heard, at) VALUES (?1, ?2, ?3)",
                (visit.0, heard, format!("{:.3}", jiff::Timestamp::now())),
            )?;
            Ok(())
        })
    }

    /// Erases one: it is a finding now.
    ///
    /// # Errors
    /// The record cannot be written.
    pub fn erase_aside(&mut self, visit: VisitId, aside: i64) -> Result<(), RecordError> {
        self.write(|tx| {
            tx.execute(
                "DELETE FROM asides WHERE id = ?1 AND visit = ?2",
                (aside, visit.0),
            )?;
            Ok(())
        })
    }
}

/// Erases those of a visit.
pub(super) fn erase(conn: &Connection, visit: i64) -> Result<(), RecordError> {
    conn.execute("DELETE FROM asides WHERE visit = ?1", [visit])?;
    Ok(())
}
