//! The sentences that an utterance may be, with what each says.

use serde::Serialize;

use crate::finding::{Finding, Outcome};
use crate::hear::Heard;
use crate::hear::search::Hypothesis;
use crate::interpret::{Interpreter, Reading};

use super::belief::Belief;
use super::evidence::Evidence;

/// A sentence of the grammar that says something, and what speaks for it.
#[derive(Clone, Debug)]
pub struct Candidate {
    pub words: String,
    pub reading: Reading,
    /// Only the second reader named it.
    pub proposed: bool,
    /// How it fits what was heard first; `None` if only the second hearing has it.
    pub first: Option<Fit>,
    /// How the best sentence that says the same fits what was heard the second time.
    pub again: Option<Fit>,
    /// How much speaks for it, in nats; only differences mean something.
    pub weight: f32,
}

/// How well a sentence fits what was heard.
#[derive(Clone, Copy, Debug, Default, Serialize)]
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

impl Fit {
    fn of(sentence: &Hypothesis, sounds: usize) -> Fit {
        Fit {
            score: sentence.score,
            sound_cost: sentence.distance * sounds as f32,
            bend: sentence.mean_bend(),
            worst_bend: sentence.worst_bend().max(WORST),
            end_bend: sentence.bends.last().copied().unwrap_or(WORST).max(WORST),
            distance: sentence.distance,
        }
    }

    /// How much speaks for it in one hearing, in nats.
    pub fn weight(&self, by_ear: f32) -> f32 {
        self.score - by_ear * self.sound_cost
    }
}

impl Candidate {
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
/// A sentence that a hearing does not have counts there as the least of those it has, less so many nats.
const NOT_HEARD: f32 = 8.0;

impl Interpreter {
    /// Every sentence heard that says something, the one that most speaks for first.
    pub fn candidates(&self, heard: &Heard, belief: &Belief) -> Vec<Candidate> {
        let candidate = |sentence: &Hypothesis, reading, first, again| Candidate {
            words: sentence.text.clone(),
            reading,
            proposed: sentence.proposed,
            first,
            again,
            weight: 0.0,
        };
        let first = self.said(&heard.sentences).map(|(sentence, reading)| {
            let fit = Fit::of(sentence, heard.sounds);
            candidate(sentence, reading, Some(fit), None)
        });
        let mut candidates: Vec<Candidate> = first.collect();
        if let Some(again) = &heard.again {
            for (sentence, reading) in self.said(&again.sentences) {
                let fit = Fit::of(sentence, again.sounds);
                let says = |one: &&mut Candidate| one.reading.outcome == reading.outcome;
                let mut known = false;
                for same in candidates.iter_mut().filter(says) {
                    known = true;
                    let better = |other: Fit| fit.weight(belief.by_ear) > other.weight(belief.by_ear);
                    if same.again.is_none_or(better) {
                        same.again = Some(fit);
                    }
                }
                if !known {
                    candidates.push(candidate(sentence, reading, None, Some(fit)));
                }
            }
        }
        weigh(&mut candidates, belief.by_ear, heard.again.is_some());
        candidates.sort_by(|a, b| b.weight.total_cmp(&a.weight));
        candidates
    }

    fn said<'a>(&'a self, sentences: &'a [Hypothesis]) -> impl Iterator<Item = (&'a Hypothesis, Reading)> {
        let read = |sentence: &'a Hypothesis| (sentence, self.peek(&sentence.text));
        sentences
            .iter()
            .map(read)
            .filter(|(_, reading)| is_dictation(&reading.outcome) && !repeats(&reading.outcome))
    }
}

/// Of two hearings, what speaks for a sentence is the mean of both.
fn weigh(candidates: &mut [Candidate], by_ear: f32, twice: bool) {
    let in_hearing = |fit: fn(&Candidate) -> Option<Fit>| -> Vec<f32> {
        let weights: Vec<Option<f32>> = candidates
            .iter()
            .map(|one| Some(fit(one)?.weight(by_ear)))
            .collect();
        let least = weights.iter().flatten().copied().reduce(f32::min).unwrap_or(0.0);
        weights.iter().map(|weight| weight.unwrap_or(least - NOT_HEARD)).collect()
    };
    let first = in_hearing(|one| one.first);
    let again = in_hearing(|one| one.again);
    for ((one, first), again) in candidates.iter_mut().zip(first).zip(again) {
        one.weight = if twice { (first + again) / 2.0 } else { first };
    }
}

/// What speaks for the first of the candidates; `free` is what the free transcript of `heard` says.
pub(super) fn evidence(candidates: &[Candidate], heard: &Heard, free: &Outcome) -> Option<Evidence> {
    let best = candidates.first()?;
    let says = &best.reading.outcome;
    let other = candidates.iter().find(|other| other.reading.outcome != *says);
    let lead = other.map_or(CLEAR, |other| best.weight - other.weight);
    let fit = best.first.or(best.again)?;
    Some(Evidence {
        bend: fit.bend,
        worst_bend: fit.worst_bend,
        end_bend: fit.end_bend,
        distance: fit.distance,
        lead: lead.min(CLEAR),
        agreed: f32::from(u8::from(free == says)),
        length: heard.sounds as f32 / MIDDLING,
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
