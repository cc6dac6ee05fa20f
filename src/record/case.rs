//! A client's case as it stands now: what was confirmed, visit by visit.

use serde::Serialize;

use super::project::from_json;
use super::{Record, RecordError, client};
use crate::finding::Finding;

/// A client's case. The serialised form is what `couchside show --json` prints.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Case {
    /// The client's code.
    pub client: String,
    /// Oldest first.
    pub visits: Vec<Visit>,
}

/// One visit; nothing need have been found in it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Visit {
    /// Local date, ISO 8601.
    pub date: String,
    /// In the order in which they were first confirmed.
    pub findings: Vec<Kept>,
}

/// A finding in the record, with its present value.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Kept {
    /// Its number in this record.
    pub id: i64,
    pub finding: Finding,
    /// The words that it was read from.
    pub heard: String,
    /// When the present value was confirmed: UTC, RFC 3339.
    pub at: String,
}

impl Record {
    /// The client's case as it stands now.
    ///
    /// # Errors
    /// No client has this code, or the record cannot be read.
    pub fn case(&self, client_code: &str) -> Result<Case, RecordError> {
        // One reading transaction: both lists are of the same moment.
        let tx = self.conn.unchecked_transaction()?;
        let client = client::find(&tx, client_code)?.ok_or(RecordError::NoClient)?;
        let mut of_client = tx.prepare("SELECT id, date FROM visits WHERE client = ?1 ORDER BY date, id")?;
        let mut of_visit = tx.prepare(
            "SELECT id, finding, heard, at FROM findings WHERE visit = ?1 AND withdrawn IS NULL ORDER BY id",
        )?;
        let mut visits = Vec::new();
        let mut rows = of_client.query([client])?;
        while let Some(row) = rows.next()? {
            let mut findings = Vec::new();
            let mut kept = of_visit.query([row.get::<_, i64>(0)?])?;
            while let Some(kept) = kept.next()? {
                let finding = from_json(&kept.get::<_, String>(1)?)?;
                findings.push(Kept {
                    id: kept.get(0)?,
                    finding,
                    heard: kept.get(2)?,
                    at: kept.get(3)?,
                });
            }
            visits.push(Visit {
                date: row.get(1)?,
                findings,
            });
        }
        Ok(Case {
            client: client_code.to_owned(),
            visits,
        })
    }
}
