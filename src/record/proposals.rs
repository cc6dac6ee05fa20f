//! Proposals: what was heard and waits to be confirmed. They are kept from the first, so that a crash does not
//! lose what was said.

use rusqlite::{Connection, OptionalExtension};

use super::act::{Deed, Target};
use super::project::from_json;
use super::visits::must_be_open;
use super::writing::{Writing, next};
use super::{Record, RecordError, VisitId, chain};
use crate::finding::Finding;
use crate::readback::Proposal;

/// Where a finding comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// The words as heard.
    pub words: String,
    /// The name of the speech model that heard them.
    pub model: String,
    /// The version of the grammar that read them: the digest of its files.
    pub grammar: String,
}

impl Record {
    /// Keeps a finding that was heard and now waits. Returns the proposal's number.
    ///
    /// # Errors
    /// The visit is closed or not there, or the record cannot be written.
    pub fn propose(&mut self, visit: VisitId, finding: &Finding, heard: &Source) -> Result<i64, RecordError> {
        self.write(|tx| {
            must_be_open(tx, visit)?;
            append(tx, visit, finding, heard)
        })
    }

    /// Keeps another value for a recorded finding, which now waits like any other; its visit may be signed off.
    ///
    /// # Errors
    /// There is no such finding, or the record cannot be written.
    pub fn propose_for(&mut self, id: i64, finding: &Finding, heard: &Source) -> Result<i64, RecordError> {
        let visit = self.visit_of_finding(id)?;
        self.write(|tx| append(tx, visit, finding, heard))
    }

    /// Gives a waiting proposal a new value. `heard` is what was said to correct it; it is kept after the words
    /// that were heard before.
    ///
    /// # Errors
    /// The proposal does not wait any more, or the record cannot be written.
    pub fn correct_proposal(
        &mut self,
        proposal: i64,
        finding: &Finding,
        heard: &str,
    ) -> Result<(), RecordError> {
        self.write(|tx| {
            waiting(tx, proposal)?;
            let target = Target::Proposal { proposal };
            let deed = Deed::Corrected {
                target,
                finding: finding.clone(),
                heard: heard.to_owned(),
            };
            chain::append(tx, deed)?;
            Ok(())
        })
    }

    /// Takes a proposal off the list of what waits. Its words stay in the history.
    ///
    /// # Errors
    /// The proposal does not wait any more, or the record cannot be written.
    pub fn disregard(&mut self, proposal: i64) -> Result<(), RecordError> {
        self.write(|tx| {
            waiting(tx, proposal)?;
            chain::append(tx, Deed::Disregarded { proposal })?;
            Ok(())
        })
    }

    /// What waits under this number in a visit, put aside or not.
    ///
    /// # Errors
    /// It does not wait any more, or not in this visit; or the record cannot be read.
    pub fn proposal(&self, visit: VisitId, id: i64) -> Result<Proposal, RecordError> {
        let waits = waiting(&self.conn, id)?;
        if waits.visit != visit {
            return Err(RecordError::NotWhatWaits);
        }
        Ok(Proposal {
            id,
            finding: waits.finding,
            heard: waits.heard,
        })
    }

    /// What waits under this number, in whatever visit.
    ///
    /// # Errors
    /// It does not wait any more, or the record cannot be read.
    pub fn waits(&self, id: i64) -> Result<Proposal, RecordError> {
        let Waiting { finding, heard, .. } = waiting(&self.conn, id)?;
        Ok(Proposal { id, finding, heard })
    }

    /// What still waits for a spoken word in a visit, oldest first; the same before and after a restart.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn pending(&self, visit: VisitId) -> Result<Vec<Proposal>, RecordError> {
        let mut waiting = self.conn.prepare(
            "SELECT id, finding, heard FROM proposals WHERE visit = ?1 AND state = 'pending' AND parked IS NULL ORDER BY id",
        )?;
        let mut rows = waiting.query([visit.0])?;
        let mut pending = Vec::new();
        while let Some(row) = rows.next()? {
            let finding = from_json(&row.get::<_, String>(1)?)?;
            pending.push(Proposal {
                id: row.get(0)?,
                finding,
                heard: row.get(2)?,
            });
        }
        Ok(pending)
    }
}

fn append(tx: &Writing, visit: VisitId, finding: &Finding, heard: &Source) -> Result<i64, RecordError> {
    let proposal = next(tx, "proposals")?;
    let deed = Deed::Proposed {
        proposal,
        visit: visit.0,
        finding: finding.clone(),
        heard: heard.words.clone(),
        model: heard.model.clone(),
        grammar: heard.grammar.clone(),
    };
    chain::append(tx, deed)?;
    Ok(proposal)
}

/// A proposal as it waits: its visit, its value and its words.
pub(super) struct Waiting {
    pub visit: VisitId,
    pub finding: Finding,
    pub heard: String,
}

/// The proposal with this number, if it waits.
pub(super) fn waiting(conn: &Connection, proposal: i64) -> Result<Waiting, RecordError> {
    let sql = "SELECT visit, finding, heard FROM proposals WHERE id = ?1 AND state = 'pending'";
    let (visit, finding, heard) = conn
        .prepare_cached(sql)?
        .query_row([proposal], |row| {
            Ok((row.get(0)?, row.get::<_, String>(1)?, row.get(2)?))
        })
        .optional()?
        .ok_or(RecordError::NotWaiting)?;
    Ok(Waiting {
        visit: VisitId(visit),
        finding: from_json(&finding)?,
        heard,
    })
}
