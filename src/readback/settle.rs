//! The confirm state machine: what is waiting for the therapist's word, and what each word does to it.
//! Pure: no sound, no file, no clock.

use crate::finding::Finding;

/// A finding that the therapist has confirmed aloud. Only this module can make one, so nothing else can reach
/// the record.
#[derive(Clone, Debug, PartialEq)]
pub struct Confirmed {
    proposal: Proposal,
}

impl Confirmed {
    /// What was confirmed.
    pub fn proposal(&self) -> &Proposal {
        &self.proposal
    }
}

/// A finding that has been said back and waits for confirmation.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// Number of the proposal within the record, so that a restart finds it again.
    pub id: i64,
    pub finding: Finding,
    /// The words that it was read from.
    pub heard: String,
}

/// What an utterance led to.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    Confirmed(Vec<Confirmed>),
    /// Something must be said first: the first unsettled proposal.
    Ask(Proposal),
    /// There is nothing to confirm.
    NothingPending,
}

/// Proposals in the order in which they were made.
#[derive(Debug, Default)]
pub struct Settle {
    pending: Vec<Proposal>,
}

impl Settle {
    /// Adds a proposal; it waits until it is confirmed, corrected or disregarded.
    pub fn propose(&mut self, proposal: Proposal) {
        self.pending.push(proposal);
    }

    /// What waits, oldest first.
    pub fn pending(&self) -> &[Proposal] {
        &self.pending
    }

    /// The therapist said the word: everything that is settled is confirmed. If something pending still lacks a
    /// field or is in doubt, nothing is confirmed and that is asked.
    pub fn confirm(&mut self) -> Step {
        if let Some(open) = self.pending.iter().find(|p| !p.finding.is_settled()) {
            return Step::Ask(open.clone());
        }
        if self.pending.is_empty() {
            return Step::NothingPending;
        }
        Step::Confirmed(
            self.pending
                .drain(..)
                .map(|proposal| Confirmed { proposal })
                .collect(),
        )
    }
}
