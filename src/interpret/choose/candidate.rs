//! The sentences that an utterance may be, with what each says.

use serde::Serialize;

use crate::finding::{Finding, Outcome};
use crate::hear::Heard;
use crate::interpret::{Interpreter, Reading};

use super::belief::Belief;
use super::evidence::Evidence;

/// A sentence of the grammar that says something, and what speaks for it.
#[derive(Clone, Debug)]
pub struct Candidate {
    pub words: String,
    pub reading: Reading,
    pub fit: Fit,
    /// Only the second reader named it.
    pub proposed: bool,
}

/// How well a sentence fits what was heard.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Fit {
    /// Log-probability by the model, in nats.
    pub score: f32,
    /// Cost of its sounds against those of the free transcript, all together.
    pub sound_cost: f32,
    /// These are as in [`Evidence`].
    pub bend: f32,
    pub worst_bend: f32,
    pub end_bend: f32,
    pub distance: f32,
}

impl Candidate {
    /// How much speaks for it, in nats; only differences mean something.
    pub fn weight(&self, by_ear: f32) -> f32 {
        self.fit.score - by_ear * self.fit.sound_cost
    }

    /// A control word that does something without being said back first.
    pub fn acts_at_once(&self) -> bool {
        matches!(&self.reading.outcome, Outcome::Control { findings, .. } if findings.is_empty())
    }
}

/// The least that a worst bend counts, in nats: one token that cannot be is enough.
const WORST: f32 = -12.0;
/// The most that a lead counts, in nats.
const CLEAR: f32 = 8.0;
/// Sounds of a phrase of middling length.
const MIDDLING: f32 = 30.0;

impl Interpreter {
    /// Every sentence heard that says something, the one that most speaks for first.
    pub fn candidates(&self, heard: &Heard, belief: &Belief) -> Vec<Candidate> {
        let mut candidates: Vec<Candidate> = heard
            .sentences
            .iter()
            .map(|sentence| Candidate {
                words: sentence.text.clone(),
                reading: self.peek(&sentence.text),
                proposed: sentence.proposed,
                fit: Fit {
                    score: sentence.score,
                    sound_cost: sentence.distance * heard.sounds as f32,
                    bend: sentence.mean_bend(),
                    worst_bend: sentence.worst_bend().max(WORST),
                    end_bend: sentence.bends.last().copied().unwrap_or(WORST).max(WORST),
                    distance: sentence.distance,
                },
            })
            .filter(|one| is_dictation(&one.reading.outcome) && !repeats(&one.reading.outcome))
            .collect();
        candidates.sort_by(|a, b| b.weight(belief.by_ear).total_cmp(&a.weight(belief.by_ear)));
        candidates
    }
}

/// What speaks for the first of the candidates; `free` is what the free transcript says, of so many `sounds`.
pub(super) fn evidence(
    candidates: &[Candidate],
    free: &Outcome,
    sounds: usize,
    belief: &Belief,
) -> Option<Evidence> {
    let best = candidates.first()?;
    let other = candidates
        .iter()
        .find(|other| other.reading.outcome != best.reading.outcome);
    let lead = other.map_or(CLEAR, |other| {
        best.weight(belief.by_ear) - other.weight(belief.by_ear)
    });
    Some(Evidence {
        bend: best.fit.bend,
        worst_bend: best.fit.worst_bend,
        end_bend: best.fit.end_bend,
        distance: best.fit.distance,
        lead: lead.min(CLEAR),
        agreed: f32::from(u8::from(*free == best.reading.outcome)),
        length: sounds as f32 / MIDDLING,
    })
}

/// Something to be taken down or done.
pub(super) fn is_dictation(outcome: &Outcome) -> bool {
    matches!(outcome, Outcome::Finding { .. } | Outcome::Control { .. })
}

/// The same finding twice in a breath: the model's stammer, not the therapist's.
fn repeats(outcome: &Outcome) -> bool {
    findings(outcome).is_some_and(|findings| findings.windows(2).any(|pair| pair[0] == pair[1]))
}

pub(super) fn findings(outcome: &Outcome) -> Option<&[Finding]> {
    match outcome {
        Outcome::Finding { findings } => Some(findings),
        _ => None,
    }
}
