//! A client's case as it stands now: what was confirmed, visit by visit.

use rusqlite::OptionalExtension;
use serde::Serialize;

use super::project::from_json;
use super::{Record, RecordError, VisitDetails, VisitId, client};
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
    /// Its number in this record.
    pub number: i64,
    /// Local date, ISO 8601.
    pub date: String,
    /// When it was begun: UTC, RFC 3339.
    #[serde(skip)]
    pub opened: String,
    /// When it was signed off: UTC, RFC 3339.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub signed: Option<String>,
    /// When something in it was changed after that: UTC, RFC 3339.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub amended: Option<String>,
    #[serde(flatten)]
    pub details: VisitDetails,
    /// In the order in which they were first confirmed.
    pub findings: Vec<Kept>,
    /// What was put aside, oldest first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub to_review: Vec<ToReview>,
}

/// Something that a spoken word could not settle.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ToReview {
    /// The words as heard.
    pub heard: String,
    /// Why it was not understood, in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
    /// What was asked about in vain.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub finding: Option<Finding>,
    /// The number of its latest sound clip, if one is kept.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clip: Option<i64>,
    /// When it was said: UTC, RFC 3339.
    pub at: String,
    /// The proposal that waits, if it is one.
    #[serde(skip)]
    pub proposal: Option<i64>,
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
    /// When it was changed after its visit was signed off: UTC, RFC 3339.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub amended: Option<String>,
}

impl Case {
    /// The visit of this number; without one, the latest in which something was found.
    pub fn visit(&self, number: Option<i64>) -> Option<&Visit> {
        self.visits.iter().rfind(|visit| match number {
            Some(number) => visit.number == number,
            None => !visit.findings.is_empty(),
        })
    }
}

impl Record {
    /// A finding as it stands now, and its client's code.
    ///
    /// # Errors
    /// There is no such finding, or it was taken back; or the record cannot be read.
    pub fn finding(&self, id: i64) -> Result<(String, Kept), RecordError> {
        let sql = "SELECT code, finding, heard, findings.at, findings.amended FROM findings
             JOIN visits ON visits.id = visit JOIN clients ON clients.id = client
             WHERE findings.id = ?1 AND withdrawn IS NULL";
        let found = self.conn.query_row(sql, [id], |row| {
            Ok((
                row.get(0)?,
                row.get::<_, String>(1)?,
                row.get(2)?,
                row.get(3)?,
                row.get(4)?,
            ))
        });
        let (code, finding, heard, at, amended) = found.optional()?.ok_or(RecordError::NoSuchFinding(id))?;
        let finding = from_json(&finding)?;
        Ok((
            code,
            Kept {
                id,
                finding,
                heard,
                at,
                amended,
            },
        ))
    }

    /// The visit in which a finding was recorded.
    ///
    /// # Errors
    /// There is no such finding, or the record cannot be read.
    pub fn visit_of_finding(&self, id: i64) -> Result<VisitId, RecordError> {
        let sql = "SELECT visit FROM findings WHERE id = ?1";
        let visit = self.conn.query_row(sql, [id], |row| row.get(0)).optional()?;
        visit.map(VisitId).ok_or(RecordError::NoSuchFinding(id))
    }

    /// The client's case as it stands now.
    ///
    /// # Errors
    /// No client has this code, or the record cannot be read.
    pub fn case(&self, client_code: &str) -> Result<Case, RecordError> {
        // One reading transaction: both lists are of the same moment.
        let tx = self.conn.unchecked_transaction()?;
        let client = client::find(&tx, client_code)?.ok_or(RecordError::NoClient)?;
        let mut of_client = tx.prepare(
            "SELECT id, date, closed, details, amended, opened FROM visits WHERE client = ?1 ORDER BY date, id",
        )?;
        let mut of_visit = tx.prepare(
            "SELECT id, finding, heard, at, amended FROM findings WHERE visit = ?1 AND withdrawn IS NULL ORDER BY id",
        )?;
        let mut put_aside = tx.prepare(
            "SELECT heard, NULL, finding, at AS said,
                 (SELECT max(clip) FROM clip_sounds JOIN clips ON clips.id = clip WHERE clips.proposal = proposals.id), id
             FROM proposals WHERE visit = ?1 AND parked IS NOT NULL AND state = 'pending'
             UNION ALL
             SELECT heard, why, NULL, at,
                 (SELECT max(clip) FROM clip_sounds JOIN clips ON clips.id = clip WHERE clips.unclear = unclear.id), NULL
             FROM unclear WHERE visit = ?1 AND aside
             ORDER BY said",
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
                    amended: kept.get(4)?,
                });
            }
            let mut to_review = Vec::new();
            let mut aside = put_aside.query([row.get::<_, i64>(0)?])?;
            while let Some(aside) = aside.next()? {
                let finding: Option<String> = aside.get(2)?;
                to_review.push(ToReview {
                    heard: aside.get(0)?,
                    why: aside.get(1)?,
                    finding: finding.as_deref().map(from_json).transpose()?,
                    at: aside.get(3)?,
                    clip: aside.get(4)?,
                    proposal: aside.get(5)?,
                });
            }
            visits.push(Visit {
                number: row.get(0)?,
                date: row.get(1)?,
                opened: row.get(5)?,
                signed: row.get(2)?,
                amended: row.get(4)?,
                details: from_json(&row.get::<_, String>(3)?)?,
                findings,
                to_review,
            });
        }
        Ok(Case {
            client: client_code.to_owned(),
            visits,
        })
    }
}
