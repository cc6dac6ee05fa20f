//! Findings that are taken back. What was found and said stays in the history.

use rusqlite::OptionalExtension;

use super::act::Deed;
use super::{Record, RecordError, VisitId, chain};
use crate::readback::TakenBack;

impl Record {
    /// Takes back a finding of this visit, as the therapist confirmed. When this returns it is on the disk; when it was is
    /// returned: UTC, RFC 3339.
    ///
    /// # Errors
    /// This visit has no such finding, or it was taken back before; or the record cannot be written.
    pub fn withdraw(&mut self, visit: VisitId, taken_back: &TakenBack) -> Result<String, RecordError> {
        let id = taken_back.id();
        self.write(|tx| {
            let there = tx
                .query_row(
                    "SELECT 1 FROM findings WHERE id = ?1 AND visit = ?2 AND withdrawn IS NULL",
                    [id, visit.0],
                    |_| Ok(()),
                )
                .optional()?;
            there.ok_or(RecordError::NoFinding)?;
            Ok(chain::append(tx, Deed::Withdrawn { id })?.at)
        })
    }
}
