//! What the speech model wrote of a proposal, before it was read: kept while its visit is open, so that a correction can be learnt from.

use rusqlite::{Connection, OptionalExtension};

use super::{Record, RecordError};

impl Record {
    /// Keeps what was written of a proposal until its visit is signed off. It is no act: nothing of it stays.
    ///
    /// # Errors
    /// The record cannot be written.
    pub fn keep_transcript(&mut self, proposal: i64, transcript: &str) -> Result<(), RecordError> {
        self.write(|tx| {
            tx.execute(
                "INSERT OR REPLACE INTO transcripts (proposal, transcript) VALUES (?1, ?2)",
                (proposal, transcript),
            )?;
            Ok(())
        })
    }

    /// What was written of a proposal; `None` if it was typed, or its visit is signed off.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn transcript(&self, proposal: i64) -> Result<Option<String>, RecordError> {
        let sql = "SELECT transcript FROM transcripts WHERE proposal = ?1";
        Ok(self
            .conn
            .query_row(sql, [proposal], |row| row.get(0))
            .optional()?)
    }

    /// The same of a finding, by what it was last read from.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn transcript_of_finding(&self, id: i64) -> Result<Option<String>, RecordError> {
        let sql =
            "SELECT transcript FROM findings JOIN transcripts ON transcripts.proposal = findings.proposal
             WHERE findings.id = ?1";
        Ok(self.conn.query_row(sql, [id], |row| row.get(0)).optional()?)
    }
}

/// Erases those of a visit.
pub(super) fn erase(conn: &Connection, visit: i64) -> Result<(), RecordError> {
    conn.execute(
        "DELETE FROM transcripts WHERE proposal IN (SELECT id FROM proposals WHERE visit = ?1)",
        [visit],
    )?;
    Ok(())
}
