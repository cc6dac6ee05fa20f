//! Which proposals the therapist has heard said back to the end.

use std::collections::BTreeSet;

/// The numbers of proposals that are being said back, and of those that were cut short.
#[derive(Debug, Default)]
pub(super) struct Told {
    now: BTreeSet<i64>,
    cut_short: BTreeSet<i64>,
}

impl Told {
    /// These are being said back.
    pub(super) fn telling(&mut self, proposals: impl IntoIterator<Item = i64>) {
        self.now.extend(proposals);
    }

    /// These are said back later.
    pub(super) fn later(&mut self, proposals: impl IntoIterator<Item = i64>) {
        self.cut_short.extend(proposals);
    }

    /// What was being said back was heard to its end.
    pub(super) fn heard_out(&mut self) {
        for proposal in std::mem::take(&mut self.now) {
            self.cut_short.remove(&proposal);
        }
    }

    /// It was not.
    pub(super) fn cut_short(&mut self) {
        self.cut_short.append(&mut self.now);
    }

    /// Whether the therapist has yet to hear this proposal.
    pub(super) fn is_to_be_told(&self, proposal: i64) -> bool {
        self.cut_short.contains(&proposal)
    }
}
