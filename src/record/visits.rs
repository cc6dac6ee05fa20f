//! Visits: what is found on one day with one client.

use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension};

use super::act::Deed;
use super::writing::next;
use super::{Record, RecordError, VisitDetails, asides, chain, client, transcripts};

/// The number of a visit in this record.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct VisitId(pub(super) i64);

impl VisitId {
    /// The number.
    pub fn number(self) -> i64 {
        self.0
    }
}

impl Record {
    /// The client's open visit of today, by the local calendar; a new one if there is none. A client who is not
    /// there yet is added.
    ///
    /// # Errors
    /// The code is not one, or the record cannot be written.
    pub fn visit_for(&mut self, client_code: &str) -> Result<VisitId, RecordError> {
        self.visit_on(client_code, jiff::ZonedDateTime::now().date())
    }

    /// As [`Record::visit_for`], for another day.
    ///
    /// # Errors
    /// The same.
    pub fn visit_on(&mut self, client_code: &str, date: Date) -> Result<VisitId, RecordError> {
        self.write(|tx| {
            let client = client::find_or_add(tx, client_code)?;
            let date = date.to_string();
            let open = tx
                .query_row(
                    "SELECT id FROM visits WHERE client = ?1 AND date = ?2 AND closed IS NULL ORDER BY id",
                    (client, &date),
                    |row| row.get(0),
                )
                .optional()?;
            if let Some(visit) = open {
                return Ok(VisitId(visit));
            }
            let visit = next(tx, "visits")?;
            chain::append(tx, Deed::VisitOpened { visit, client, date })?;
            Ok(VisitId(visit))
        })
    }

    /// Signs a visit off: nothing can be proposed in it any more, and what is changed later is an amendment. `drop_waiting`:
    /// what still waits in it is disregarded first. What was talked beside is erased.
    ///
    /// # Errors
    /// Something in it still waits, or it is signed or not there.
    pub fn sign_visit(&mut self, visit: VisitId, drop_waiting: bool) -> Result<(), RecordError> {
        self.write(|tx| {
            must_be_open(tx, visit)?;
            let waiting: Vec<i64> = tx
                .prepare("SELECT id FROM proposals WHERE visit = ?1 AND state = 'pending' ORDER BY id")?
                .query_map([visit.0], |row| row.get(0))?
                .collect::<Result<_, _>>()?;
            if !waiting.is_empty() && !drop_waiting {
                return Err(RecordError::StillWaiting(waiting.len()));
            }
            for proposal in waiting {
                chain::append(tx, Deed::Disregarded { proposal })?;
            }
            chain::append(tx, Deed::VisitClosed { visit: visit.0 })?;
            asides::erase(tx, visit.0)?;
            transcripts::erase(tx, visit.0)
        })
    }

    /// Writes something else about a visit; what was written before stays in the history. In a visit that is signed it is an
    /// amendment.
    ///
    /// # Errors
    /// The record cannot be written.
    pub fn describe_visit(&mut self, visit: VisitId, details: VisitDetails) -> Result<(), RecordError> {
        self.write(|tx| {
            let visit = visit.0;
            chain::append(tx, Deed::VisitDescribed { visit, details })?;
            Ok(())
        })
    }

    /// A client's visit by its number; without one, the latest that is not signed.
    ///
    /// # Errors
    /// No client has this code, or the client no such visit.
    pub fn visit_of(&self, client_code: &str, number: Option<i64>) -> Result<VisitId, RecordError> {
        let client = client::find(&self.conn, client_code)?.ok_or(RecordError::NoClient)?;
        let sql = match number {
            Some(_) => "SELECT id FROM visits WHERE client = ?1 AND id = ?2",
            None => {
                "SELECT id FROM visits WHERE client = ?1 AND closed IS NULL AND ?2 IS NULL ORDER BY date DESC, id DESC"
            }
        };
        let visit = self
            .conn
            .query_row(sql, (client, number), |row| row.get(0))
            .optional()?;
        visit.map(VisitId).ok_or(match number {
            Some(_) => RecordError::NoVisit,
            None => RecordError::NoOpenVisit,
        })
    }
}

/// Refuses a visit that is closed or not there.
pub(super) fn must_be_open(conn: &Connection, visit: VisitId) -> Result<(), RecordError> {
    let closed = conn
        .query_row(
            "SELECT closed IS NOT NULL FROM visits WHERE id = ?1",
            [visit.0],
            |row| row.get(0),
        )
        .optional()?;
    match closed {
        None => Err(RecordError::NoVisit),
        Some(true) => Err(RecordError::VisitClosed),
        Some(false) => Ok(()),
    }
}
