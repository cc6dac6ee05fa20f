//! Every finding, one after the other, however many there are.

use rusqlite::params;

use super::project::from_json;
use super::{Record, RecordError, client};
use crate::finding::Finding;

/// A finding with what it belongs to.
#[derive(Clone, Debug, PartialEq)]
pub struct Whole {
    /// Its number in this record.
    pub id: i64,
    /// The client's code.
    pub client: String,
    /// The visit's number.
    pub visit: i64,
    /// The visit's local date, ISO 8601.
    pub date: String,
    pub finding: Finding,
    /// The words that it was read from.
    pub heard: String,
    /// When its present value was confirmed: UTC, RFC 3339.
    pub at: String,
    /// The visit was signed off.
    pub signed: bool,
    /// It was changed after that.
    pub amended: bool,
}

impl Record {
    /// Hands out every finding as it stands now, of one client or of all, in the order in which they were recorded. Only one is held at a
    /// time.
    ///
    /// # Errors
    /// No client has this code, the record cannot be read, or what `take` says.
    pub fn every_finding<E: From<RecordError>>(
        &self,
        client_code: Option<&str>,
        mut take: impl FnMut(Whole) -> Result<(), E>,
    ) -> Result<(), E> {
        let client = client_code
            .map(|code| client::find(&self.conn, code)?.ok_or(RecordError::NoClient))
            .transpose()?;
        let mut read = || -> Result<(), Ended<E>> {
            let mut all = self.conn.prepare(
                "SELECT findings.id, clients.code, visits.id, visits.date, finding, findings.heard, findings.at,
                     visits.closed IS NOT NULL, findings.amended IS NOT NULL
                 FROM findings JOIN visits ON visits.id = findings.visit JOIN clients ON clients.id = visits.client
                 WHERE withdrawn IS NULL AND (?1 IS NULL OR clients.id = ?1) ORDER BY findings.id",
            )?;
            let mut rows = all.query(params![client])?;
            while let Some(row) = rows.next()? {
                let finding = from_json(&row.get::<_, String>(4)?).map_err(Ended::Record)?;
                take(Whole {
                    id: row.get(0)?,
                    client: row.get(1)?,
                    visit: row.get(2)?,
                    date: row.get(3)?,
                    finding,
                    heard: row.get(5)?,
                    at: row.get(6)?,
                    signed: row.get(7)?,
                    amended: row.get(8)?,
                })
                .map_err(Ended::Taken)?;
            }
            Ok(())
        };
        read().map_err(|ended| match ended {
            Ended::Record(error) => error.into(),
            Ended::Taken(error) => error,
        })
    }
}

/// Why it was not read to its end.
enum Ended<E> {
    Record(RecordError),
    Taken(E),
}

impl<E> From<rusqlite::Error> for Ended<E> {
    fn from(error: rusqlite::Error) -> Ended<E> {
        Ended::Record(error.into())
    }
}
