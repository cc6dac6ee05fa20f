//! Findings: what was confirmed aloud. A [`Confirmed`] is the only thing that makes or changes one.

use rusqlite::{Connection, OptionalExtension};

use super::act::{Deed, Target};
use super::proposals::{Waiting, waiting};
use super::writing::next;
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
            let id = next(tx, "findings")?;
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
                     WHERE findings.id = ?1 AND findings.withdrawn IS NULL",
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::{Finding, Kind};
    use crate::readback::{Proposal, Settle, Step};
    use crate::record::{Passphrase, Source};

    /// A page limit makes SQLite report a full disk; it belongs to the connection, so only a test in here can
    /// set it.
    #[test]
    fn a_full_disk_loses_nothing_that_was_confirmed_or_waits() {
        let home = tempfile::tempdir().unwrap();
        let mut record =
            Record::create(home.path(), &Passphrase::new("one two".to_owned()).unwrap()).unwrap();
        let visit = record.visit_for("P-12").unwrap();
        let mut finding = Finding::new(Kind::Note);
        finding.text = Some("stairs hurt ".repeat(500));
        let source = Source {
            words: "note".to_owned(),
            model: "m".to_owned(),
            grammar: "g".to_owned(),
        };
        let next = |record: &mut Record| {
            let proposal = record.propose(visit, &finding, &source).unwrap();
            let mut settle = Settle::default();
            settle.propose(Proposal {
                id: proposal,
                finding: finding.clone(),
                heard: source.words.clone(),
            });
            let Step::Confirmed(confirmed) = settle.confirm() else {
                panic!("it is settled")
            };
            confirmed
        };
        let first = next(&mut record);
        record.confirm(visit, &first[0]).unwrap();
        let second = next(&mut record);

        let pages: i64 = record
            .conn
            .pragma_query_value(None, "page_count", |row| row.get(0))
            .unwrap();
        let limit = |record: &Record, pages: i64| {
            record
                .conn
                .pragma_update_and_check(None, "max_page_count", pages, |row| row.get::<_, i64>(0))
        };
        limit(&record, pages).unwrap();
        let error = record.confirm(visit, &second[0]).unwrap_err();
        assert_eq!(
            error.to_string(),
            "the disk is full: nothing confirmed before is lost, and this finding is still waiting, not yet \
             recorded; make room on the disk, then try again"
        );
        let error = record.propose(visit, &finding, &source).unwrap_err();
        assert!(
            error.to_string().contains("what was said last is not kept"),
            "{error}"
        );
        assert_eq!(record.case("P-12").unwrap().visits[0].findings.len(), 1);
        assert_eq!(record.pending(visit).unwrap().len(), 1);
        record.verify().unwrap();

        limit(&record, pages + 100).unwrap();
        record.confirm(visit, &second[0]).unwrap();
        assert_eq!(record.case("P-12").unwrap().visits[0].findings.len(), 2);
    }

    #[test]
    fn a_commit_waits_for_the_disk() {
        let home = tempfile::tempdir().unwrap();
        let record = Record::create(home.path(), &Passphrase::new("one two".to_owned()).unwrap()).unwrap();
        let setting = |name| {
            record
                .conn
                .pragma_query_value(None, name, |row| row.get::<_, i64>(0))
                .unwrap()
        };
        let mode: String = record
            .conn
            .pragma_query_value(None, "journal_mode", |row| row.get(0))
            .unwrap();
        // 2 is FULL: the log is flushed at each commit.
        assert_eq!(
            (mode.as_str(), setting("synchronous"), setting("foreign_keys")),
            ("wal", 2, 1)
        );
    }
}
