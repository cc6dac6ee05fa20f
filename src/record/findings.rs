//! Findings: what was confirmed aloud. A [`Confirmed`] is the only thing that makes or changes one.

use rusqlite::{Connection, OptionalExtension};

use super::act::{Deed, Target};
use super::proposals::{Waiting, waiting};
use super::{Record, RecordError, VisitId, chain};
use crate::readback::Confirmed;

/// A finding is in the record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Recorded {
    /// Its number in this record.
    pub id: i64,
    /// When it was recorded: UTC, RFC 3339.
    pub at: String,
}

impl Record {
    /// Records what was confirmed. When this returns it is on the disk.
    ///
    /// # Errors
    /// The finding does not wait in this visit, or waits with another value; or the record cannot be written,
    /// and then the finding still waits.
    pub fn confirm(&mut self, visit: VisitId, confirmed: &Confirmed) -> Result<Recorded, RecordError> {
        self.write(|tx| {
            let waits = what_waits(tx, confirmed)?;
            if waits.visit != visit {
                return Err(RecordError::NotWhatWaits);
            }
            let id = tx.query_row("SELECT coalesce(max(id), 0) + 1 FROM findings", [], |row| {
                row.get(0)
            })?;
            let proposal = confirmed.proposal().id;
            let deed = Deed::Confirmed {
                id,
                proposal,
                visit: visit.0,
                finding: waits.finding,
            };
            Ok(Recorded {
                id,
                at: chain::append(tx, deed)?.at,
            })
        })
        .map_err(RecordError::while_confirming)
    }

    /// Gives a recorded finding a new value, which was proposed and confirmed like any other. The value before
    /// stays in the history.
    ///
    /// # Errors
    /// As for [`Record::confirm`]; and the client for whom it was proposed has no such finding.
    pub fn correct_finding(&mut self, id: i64, confirmed: &Confirmed) -> Result<Recorded, RecordError> {
        self.write(|tx| {
            let waits = what_waits(tx, confirmed)?;
            let same_client = tx
                .query_row(
                    "SELECT before.client = now.client FROM findings
                     JOIN visits AS before ON before.id = findings.visit
                     JOIN visits AS now ON now.id = ?2
                     WHERE findings.id = ?1",
                    [id, waits.visit.0],
                    |row| row.get(0),
                )
                .optional()?;
            if same_client != Some(true) {
                return Err(RecordError::NoFinding);
            }
            let target = Target::Finding {
                id,
                proposal: confirmed.proposal().id,
            };
            let deed = Deed::Corrected {
                target,
                finding: waits.finding,
                heard: waits.heard,
            };
            Ok(Recorded {
                id,
                at: chain::append(tx, deed)?.at,
            })
        })
        .map_err(RecordError::while_confirming)
    }
}

/// What waits under the number of what was confirmed; it must be the very same finding.
fn what_waits(conn: &Connection, confirmed: &Confirmed) -> Result<Waiting, RecordError> {
    let waits = waiting(conn, confirmed.proposal().id)?;
    if waits.finding != confirmed.proposal().finding {
        return Err(RecordError::NotWhatWaits);
    }
    Ok(waits)
}

impl RecordError {
    /// A proposal still waits if its confirmation found no room, and the message may say so.
    fn while_confirming(self) -> RecordError {
        match self {
            RecordError::NoRoom => RecordError::NoRoomToConfirm,
            other => other,
        }
    }
}
