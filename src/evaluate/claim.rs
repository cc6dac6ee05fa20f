//! What utterances amount to for the therapist: what is proposed, which control words act, what is asked again.

use serde::Serialize;

use crate::finding::{Control, Finding, Outcome};
use crate::readback::{Proposal, Settle};

/// What one utterance, or several in a row, amount to.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Claim {
    /// What waits for confirmation afterwards.
    pub findings: Vec<Finding>,
    pub controls: Vec<Control>,
    /// It was asked to say it again.
    pub unclear: bool,
}

impl Claim {
    /// Adds up outcomes in order, each with whether its finding completes the one before. What waits is kept as while
    /// listening; confirming and disregarding are noted, but what waited stays, so that it can be judged.
    pub fn of<'a>(outcomes: impl IntoIterator<Item = (&'a Outcome, bool)>) -> Claim {
        let mut claim = Claim::default();
        let mut waiting = Settle::default();
        for (outcome, amends) in outcomes {
            match outcome {
                Outcome::Finding { findings } => match findings.as_slice() {
                    [finding] if amends && !waiting.pending().is_empty() => {
                        waiting.correct(finding.clone());
                    }
                    findings => {
                        waiting.supersede();
                        findings.iter().for_each(|finding| propose(&mut waiting, finding));
                    }
                },
                Outcome::Control { control, findings } => {
                    claim.controls.push(*control);
                    for finding in findings {
                        match waiting.pending().is_empty() {
                            true => propose(&mut waiting, finding),
                            false => {
                                waiting.correct(finding.clone());
                            }
                        }
                    }
                }
                Outcome::Unclear { .. } => claim.unclear = true,
                Outcome::Aside => {}
            }
        }
        claim.findings = waiting
            .pending()
            .iter()
            .map(|proposal| proposal.finding.clone())
            .collect();
        claim
    }

    /// Nothing is proposed, done or asked.
    pub fn is_nothing(&self) -> bool {
        *self == Claim::default()
    }
}

fn propose(waiting: &mut Settle, finding: &Finding) {
    waiting.propose(Proposal {
        id: 0,
        finding: finding.clone(),
        heard: String::new(),
    });
}
