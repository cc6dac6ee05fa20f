//! The confirm state machine: what waits for the therapist's word, and what each word does to it.
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

/// A recorded finding that the therapist has asked to take back, and confirmed that it is. Only this module can make one.
#[derive(Clone, Debug, PartialEq)]
pub struct TakenBack {
    id: i64,
    finding: Finding,
}

impl TakenBack {
    /// The finding's number in the record.
    pub fn id(&self) -> i64 {
        self.id
    }

    /// What was recorded.
    pub fn finding(&self) -> &Finding {
        &self.finding
    }
}

/// What the word `confirm` led to.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    Confirmed(Vec<Confirmed>),
    /// Something must be said first: the first unsettled proposal. Nothing was confirmed.
    Ask(Box<Proposal>),
    /// A recorded finding is to be taken back.
    TakeBack(Box<TakenBack>),
    /// There is nothing to confirm.
    NothingPending,
}

/// Proposals in the order in which they were made.
#[derive(Debug, Default)]
pub struct Settle {
    pending: Vec<Proposal>,
    /// A recorded finding of which it was asked whether to take it back. Whatever is proposed next is an answer too: no.
    asked_back: Option<TakenBack>,
}

impl Settle {
    /// Adds a proposal; it waits until it is confirmed, corrected or disregarded.
    pub fn propose(&mut self, proposal: Proposal) {
        self.asked_back = None;
        self.pending.push(proposal);
    }

    /// What waits, oldest first.
    pub fn pending(&self) -> &[Proposal] {
        &self.pending
    }

    /// A recorded finding is to be taken back if the therapist confirms it next.
    pub fn ask_back(&mut self, id: i64, finding: Finding) {
        self.asked_back = Some(TakenBack { id, finding });
    }

    /// The recorded finding of which it was asked whether to take it back.
    pub fn asked_back(&self) -> Option<&Finding> {
        self.asked_back.as_ref().map(TakenBack::finding)
    }

    /// It is not to be taken back. False if that was not asked.
    pub fn keep(&mut self) -> bool {
        self.asked_back.take().is_some()
    }

    /// The therapist said the word: everything is confirmed, see [`Settle::confirm_only`].
    pub fn confirm(&mut self) -> Step {
        self.confirm_only(|_| true)
    }

    /// Confirms the proposals that `meant` tells; the others wait on. If one of those that are meant still lacks a field or is
    /// in doubt, nothing is confirmed and that is asked; it becomes the latest, which is the one that an answer is about.
    pub fn confirm_only(&mut self, meant: impl Fn(&Proposal) -> bool) -> Step {
        let open = |p: &Proposal| meant(p) && !p.finding.is_settled();
        if let Some(at) = self.pending.iter().position(open) {
            let open = self.pending.remove(at);
            self.pending.push(open.clone());
            return Step::Ask(Box::new(open));
        }
        if self.pending.is_empty() {
            if let Some(taken_back) = self.asked_back.take() {
                return Step::TakeBack(Box::new(taken_back));
            }
            return Step::NothingPending;
        }
        let (confirmed, waiting) = std::mem::take(&mut self.pending)
            .into_iter()
            .partition(|p| meant(p));
        self.pending = waiting;
        let confirmed: Vec<Proposal> = confirmed;
        Step::Confirmed(
            confirmed
                .into_iter()
                .map(|proposal| Confirmed { proposal })
                .collect(),
        )
    }

    /// Gives the latest proposal a new value and returns it; `None` if nothing waits.
    pub fn correct(&mut self, finding: Finding) -> Option<&Proposal> {
        let latest = self.pending.last_mut()?;
        latest.finding = finding;
        Some(latest)
    }

    /// Gives the proposal with this number another value, if it still waits.
    pub fn amend(&mut self, id: i64, finding: Finding) {
        if let Some(proposal) = self.pending.iter_mut().find(|proposal| proposal.id == id) {
            proposal.finding = finding;
        }
    }

    /// Takes the latest proposal away; `None` if nothing waits.
    pub fn disregard(&mut self) -> Option<Proposal> {
        self.pending.pop()
    }

    /// Takes away the latest proposal if it names a movement but no result: another finding has come in its place.
    pub fn supersede(&mut self) -> Option<Proposal> {
        let named_only =
            |proposal: &&Proposal| !proposal.finding.has_result() && !proposal.finding.is_settled();
        self.pending.last().filter(named_only)?;
        self.pending.pop()
    }

    /// Puts back what could not be recorded: it waits on.
    pub fn restore(&mut self, confirmed: Vec<Confirmed>) {
        let waiting = std::mem::take(&mut self.pending);
        self.pending = confirmed
            .into_iter()
            .map(|confirmed| confirmed.proposal)
            .chain(waiting)
            .collect();
    }
}
