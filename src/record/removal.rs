//! A client who asks to be removed: what was written and found is erased, that it was done stays.

use std::collections::{BTreeMap, BTreeSet};

use super::act::{Deed, Target};
use super::chain::ERASED;
use super::writing::next;
use super::{Record, RecordError, asides, chain, client, transcripts};

/// The tables whose numbers are never given twice.
const NUMBERED: [&str; 6] = ["clients", "visits", "proposals", "findings", "unclear", "clips"];

/// What is the client's, by its numbers.
#[derive(Default)]
struct Belongings {
    clients: BTreeSet<i64>,
    visits: BTreeSet<i64>,
    proposals: BTreeSet<i64>,
    findings: BTreeSet<i64>,
}

impl Record {
    /// Erases everything that is kept of a client: what was said, written and found, the sound, and the code itself. The acts that
    /// held it keep their place and time and say nothing any more; one more says that a client was removed. Copies of the record
    /// are not touched.
    ///
    /// # Errors
    /// No client has this code, or the record cannot be written; then everything is as it was.
    pub fn remove_client(&mut self, code: &str) -> Result<(), RecordError> {
        self.write(|tx| {
            let clients = client::numbers(tx, code)?;
            let client = clients[0];
            let mut theirs = Belongings {
                clients: clients.into_iter().collect(),
                ..Belongings::default()
            };
            let mut acts = Vec::new();
            chain::walk(tx, |act| {
                if theirs.include(&act.deed) {
                    acts.push(act.id);
                }
                Ok(())
            })?;
            let given = NUMBERED
                .iter()
                .map(|table| Ok(((*table).to_owned(), next(tx, table)? - 1)))
                .collect::<Result<BTreeMap<_, _>, RecordError>>()?;
            for act in &acts {
                tx.execute(
                    "UPDATE acts SET body = ?2, why = NULL WHERE id = ?1",
                    (act, ERASED),
                )?;
            }
            tx.execute(
                "DELETE FROM clip_sounds WHERE clip IN
                     (SELECT clips.id FROM clips JOIN visits ON visits.id = visit WHERE client = ?1)",
                [client],
            )?;
            for &visit in &theirs.visits {
                asides::erase(tx, visit)?;
                transcripts::erase(tx, visit)?;
            }
            chain::append(tx, Deed::ClientRemoved { client, acts, given })?;
            // The index lets go of words only when it is put in order.
            tx.execute(
                "INSERT INTO findings_words (findings_words) VALUES ('optimize')",
                [],
            )?;
            Ok(())
        })?;
        // What was there must not stay in the log beside the file.
        self.conn
            .query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))?;
        Ok(())
    }
}

impl Belongings {
    /// Whether this act says something of the client.
    fn include(&mut self, deed: &Deed) -> bool {
        match deed {
            Deed::RecordMade { .. } | Deed::ClientsMerged { .. } | Deed::ClientRemoved { .. } => false,
            Deed::ClientAdded { client, .. }
            | Deed::ClientDescribed { client, .. }
            | Deed::Exported { client, .. } => self.clients.contains(client),
            Deed::VisitOpened { visit, client, .. } => {
                self.clients.contains(client) && self.visits.insert(*visit)
            }
            Deed::Proposed { proposal, visit, .. } => {
                self.visits.contains(visit) && self.proposals.insert(*proposal)
            }
            Deed::Confirmed { id, visit, .. } => self.visits.contains(visit) && self.findings.insert(*id),
            Deed::VisitDescribed { visit, .. }
            | Deed::VisitClosed { visit }
            | Deed::NotUnderstood { visit, .. }
            | Deed::CautionShown { visit, .. }
            | Deed::SoundAllowed { visit, .. }
            | Deed::SoundKept { visit, .. } => self.visits.contains(visit),
            Deed::Disregarded { proposal }
            | Deed::Parked { proposal }
            | Deed::Corrected {
                target: Target::Proposal { proposal },
                ..
            } => self.proposals.contains(proposal),
            Deed::Withdrawn { id }
            | Deed::Corrected {
                target: Target::Finding { id, .. },
                ..
            } => self.findings.contains(id),
            // Its clip is gone, and it says nothing else.
            Deed::SoundErased { .. } => false,
        }
    }
}
