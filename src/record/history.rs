//! What was done for a client, act by act, as it stands in the record for ever.

use std::collections::{HashMap, HashSet};

use serde::Serialize;

use super::act::{Deed, Target};
use super::{Record, RecordError, chain, client};
use crate::finding::Finding;

/// One act. The serialised form is what `couchside show --history --json` prints.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Done {
    /// When: UTC, RFC 3339.
    pub at: String,
    pub what: What,
    /// The number of the recorded finding that it is about, where it is about one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub id: Option<i64>,
    /// The number of the visit in which that was recorded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub visit: Option<i64>,
    /// Who did it, and why, where that was said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub who: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
    /// What it was then, or became.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub finding: Option<Finding>,
    /// What was exported, or which caution was shown.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub detail: Option<String>,
    /// The words that it was read from, or corrected with.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heard: Option<String>,
}

/// What was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum What {
    Added,
    Described,
    Merged,
    Opened,
    Proposed,
    Corrected,
    Disregarded,
    Recorded,
    Withdrawn,
    Unclear,
    Parked,
    SoundAllowed,
    SoundForbidden,
    SoundErased,
    Exported,
    Cautioned,
    Closed,
}

/// What the acts so far say of one client.
#[derive(Default)]
struct So {
    /// The client's numbers: more than one where codes were merged.
    clients: HashSet<i64>,
    visits: HashSet<i64>,
    /// By their numbers.
    proposals: HashMap<i64, Finding>,
    findings: HashMap<i64, Finding>,
    /// The visits that findings were recorded in, also of those that were taken back.
    found_in: HashMap<i64, i64>,
    clips: HashSet<i64>,
}

impl Record {
    /// Everything that was done for a client, in order.
    ///
    /// # Errors
    /// No client has this code, or the record is damaged or cannot be read.
    pub fn history(&self, client_code: &str) -> Result<Vec<Done>, RecordError> {
        let tx = self.conn.unchecked_transaction()?;
        let mut so = So {
            clients: client::numbers(&tx, client_code)?.into_iter().collect(),
            ..So::default()
        };
        let mut history = Vec::new();
        chain::walk(&tx, |act| {
            if let Some((what, id, finding, heard)) = so.take(&act.deed) {
                history.push(Done {
                    at: act.at.clone(),
                    what,
                    id,
                    visit: id.and_then(|id| so.found_in.get(&id).copied()),
                    who: act.who.clone(),
                    why: act.why.clone(),
                    finding,
                    detail: detail(&act.deed),
                    heard,
                });
            }
            Ok(())
        })?;
        Ok(history)
    }
}

/// What an act says beside.
fn detail(deed: &Deed) -> Option<String> {
    match deed {
        Deed::Exported {
            visit,
            form,
            with_name,
            ..
        } => {
            let visit = visit.map_or_else(|| "all visits".to_owned(), |visit| format!("visit {visit}"));
            let name = if *with_name { ", with the name" } else { "" };
            Some(format!("{form}, {visit}{name}"))
        }
        Deed::CautionShown { caution, .. } => Some(caution.clone()),
        _ => None,
    }
}

type Told = (What, Option<i64>, Option<Finding>, Option<String>);

impl So {
    /// What an act did for the client; `None` if it is about somebody else.
    fn take(&mut self, deed: &Deed) -> Option<Told> {
        match deed {
            Deed::RecordMade { .. } | Deed::ClientRemoved { .. } => None,
            Deed::ClientAdded { client, .. } => {
                self.clients
                    .contains(client)
                    .then_some((What::Added, None, None, None))
            }
            Deed::ClientDescribed { client, .. } => {
                self.clients
                    .contains(client)
                    .then_some((What::Described, None, None, None))
            }
            Deed::Exported { client, .. } => {
                self.clients
                    .contains(client)
                    .then_some((What::Exported, None, None, None))
            }
            Deed::CautionShown { visit, finding, .. } => {
                self.visits
                    .contains(visit)
                    .then_some((What::Cautioned, Some(*finding), None, None))
            }
            Deed::ClientsMerged { into, .. } => {
                self.clients
                    .contains(into)
                    .then_some((What::Merged, None, None, None))
            }
            Deed::VisitDescribed { visit, .. } => {
                self.visits
                    .contains(visit)
                    .then_some((What::Described, None, None, None))
            }
            Deed::VisitOpened { visit, client, .. } => (self.clients.contains(client)
                && self.visits.insert(*visit))
            .then_some((What::Opened, None, None, None)),
            Deed::VisitClosed { visit } => {
                self.visits
                    .contains(visit)
                    .then_some((What::Closed, None, None, None))
            }
            Deed::Proposed {
                proposal,
                visit,
                finding,
                heard,
                ..
            } => self.visits.contains(visit).then(|| {
                self.proposals.insert(*proposal, finding.clone());
                (What::Proposed, None, Some(finding.clone()), Some(heard.clone()))
            }),
            Deed::Disregarded { proposal } => {
                let finding = self.proposals.remove(proposal)?;
                Some((What::Disregarded, None, Some(finding), None))
            }
            Deed::Confirmed {
                id,
                proposal,
                visit,
                finding,
            } => {
                self.proposals.remove(proposal)?;
                self.findings.insert(*id, finding.clone());
                self.found_in.insert(*id, *visit);
                Some((What::Recorded, Some(*id), Some(finding.clone()), None))
            }
            Deed::Corrected {
                target,
                finding,
                heard,
            } => {
                let (known, id) = match target {
                    Target::Proposal { proposal } => (self.proposals.get_mut(proposal)?, None),
                    Target::Finding { id, .. } => (self.findings.get_mut(id)?, Some(*id)),
                };
                *known = finding.clone();
                Some((What::Corrected, id, Some(finding.clone()), Some(heard.clone())))
            }
            Deed::NotUnderstood { visit, heard, .. } => self
                .visits
                .contains(visit)
                .then(|| (What::Unclear, None, None, Some(heard.clone()))),
            Deed::Parked { proposal } => {
                let finding = self.proposals.get(proposal)?.clone();
                Some((What::Parked, None, Some(finding), None))
            }
            Deed::SoundAllowed { visit, allowed } => {
                let what = match allowed {
                    true => What::SoundAllowed,
                    false => What::SoundForbidden,
                };
                self.visits.contains(visit).then_some((what, None, None, None))
            }
            // That it was kept is not news: it is kept of everything, where it is allowed.
            Deed::SoundKept { clip, visit, .. } => {
                if self.visits.contains(visit) {
                    self.clips.insert(*clip);
                }
                None
            }
            Deed::SoundErased { clip } => {
                self.clips
                    .remove(clip)
                    .then_some((What::SoundErased, None, None, None))
            }
            Deed::Withdrawn { id } => {
                let finding = self.findings.remove(id)?;
                Some((What::Withdrawn, Some(*id), Some(finding), None))
            }
        }
    }
}
