//! What was heard → what it says: whether the sound is dictation at all, which sentence it is, and what is in doubt.
//!
//! Two witnesses speak for a sentence of the grammar. Its *bend* is how much less likely it is than what the model
//! would freely write: little for dictation, much for talk. Its *likeness* to the free transcript, letter by letter,
//! shows what the bend cannot: whether anything of what was freely heard was left out. Where the free transcript is
//! itself dictation the two agree, or their difference is a doubt.

use crate::finding::{Finding, Outcome};
use crate::hear::Heard;
use crate::hear::search::Hypothesis;

use super::{Interpreter, Reading, doubts};

/// An utterance, understood as far as it goes.
#[derive(Clone, Debug)]
pub struct Understood {
    /// The words that were read; for talk, those of the free transcript.
    pub words: String,
    pub reading: Reading,
    /// How well the sentence fits the sound, 0 to 1: for dictation the geometric mean of each token's likelihood
    /// against the model's free choice; for talk what is missing from that to 1. Not a probability of being right.
    pub confidence: f32,
}

// The limits below were set by ear and eye on synthetic speech (espeak-ng, flite) apart from the samples.

/// Bend per token, in nats, down to which a sentence is taken.
const TAKEN: f32 = -1.2;
/// Bend per token down to which it is asked for again.
const ASKED: f32 = -2.6;
/// Bend of the end down to which nothing can have been left out after it.
const END: f32 = -2.0;
/// Least likeness of what is taken, and of what is asked for again.
const LIKE: f64 = 0.5;
const ASKED_LIKE: f64 = 0.4;
/// A control word acts at once: it has to fit better than a finding, which is said back first.
const CONTROL_TAKEN: f32 = -0.35;
const CONTROL_LIKE: f64 = 0.75;
/// Rivals less likely by more than this, in nats over the whole sentence, raise no doubt.
const RIVAL: f32 = 3.0;
/// Above this probability that nobody speaks, nothing is dictation.
const SILENT: f32 = 0.6;

impl Interpreter {
    /// Decides what an utterance says. The next one does not lean on it until it is
    /// [followed](Interpreter::follow).
    pub fn choose(&self, heard: &Heard) -> Understood {
        let free = self.peek(&heard.free.text);
        let readings: Vec<(&Hypothesis, Reading)> = heard
            .sentences
            .iter()
            .map(|sentence| (sentence, self.peek(&sentence.text)))
            .filter(|(_, reading)| is_dictation(&reading.outcome) && !repeats(&reading.outcome))
            .collect();
        let bend = readings
            .first()
            .map_or(f32::NEG_INFINITY, |(sentence, _)| sentence.mean_bend());
        let talk = |outcome: Outcome| Understood {
            words: heard.free.text.clone(),
            reading: Reading {
                outcome,
                amends: false,
                from: None,
            },
            confidence: 1.0 - bend.exp(),
        };
        if heard.no_speech > SILENT {
            return talk(Outcome::Aside);
        }
        if is_dictation(&free.outcome) {
            // Unheld, the model writes a sentence of the grammar: there is no better witness.
            let rivals = self.rivals(heard, &free);
            let words = heard.free.text.clone();
            return self.doubted(
                Understood {
                    words,
                    reading: free,
                    confidence: 1.0,
                },
                &rivals,
            );
        }
        let mut nearly = false;
        for (sentence, reading) in &readings {
            let like = likeness(
                &self.grammar.words(&sentence.text),
                &self.grammar.words(&heard.free.text),
            );
            let (taken, least_like) = match acts_at_once(&reading.outcome) {
                true => (CONTROL_TAKEN, CONTROL_LIKE),
                false => (TAKEN, LIKE),
            };
            let bend = sentence.mean_bend();
            if bend >= taken && like >= least_like && is_whole(sentence) {
                let rivals = self.rivals(heard, reading);
                let (words, reading) = (sentence.text.clone(), reading.clone());
                return self.doubted(
                    Understood {
                        words,
                        reading,
                        confidence: bend.exp(),
                    },
                    &rivals,
                );
            }
            nearly |= bend >= ASKED && like >= ASKED_LIKE && !acts_at_once(&reading.outcome);
        }
        if nearly && !self.has_talk(&heard.free.text) {
            return talk(Outcome::Unclear {
                why: "it sounded like a finding, but not clearly enough".into(),
            });
        }
        talk(free.outcome)
    }

    /// Readings of sentences nearly as likely as the best that say something else.
    fn rivals(&self, heard: &Heard, chosen: &Reading) -> Vec<Reading> {
        let best = heard.sentences.first().map_or(0.0, |sentence| sentence.score);
        heard
            .sentences
            .iter()
            .filter(|sentence| sentence.score >= best - RIVAL && is_whole(sentence))
            .map(|sentence| self.peek(&sentence.text))
            .filter(|reading| reading.outcome != chosen.outcome && is_dictation(&reading.outcome))
            .collect()
    }

    fn doubted(&self, mut understood: Understood, rivals: &[Reading]) -> Understood {
        for rival in rivals {
            let (Some(ours), Some(theirs)) = (
                findings_mut(&mut understood.reading.outcome),
                findings(&rival.outcome),
            ) else {
                continue;
            };
            doubts::mark(ours, theirs);
        }
        understood
    }

    fn has_talk(&self, text: &str) -> bool {
        self.grammar
            .words(text)
            .iter()
            .any(|word| self.grammar.talk.contains(word))
    }
}

/// A bent end means that something was said after it.
fn is_whole(sentence: &Hypothesis) -> bool {
    sentence.bends.last().is_some_and(|end| *end >= END)
}

/// A control word that does something without being said back first.
fn acts_at_once(outcome: &Outcome) -> bool {
    matches!(outcome, Outcome::Control { findings, .. } if findings.is_empty())
}

/// The same finding twice in a breath: the model's stammer, not the therapist's.
fn repeats(outcome: &Outcome) -> bool {
    findings(outcome).is_some_and(|findings| findings.windows(2).any(|pair| pair[0] == pair[1]))
}

fn is_dictation(outcome: &Outcome) -> bool {
    matches!(outcome, Outcome::Finding { .. } | Outcome::Control { .. })
}

fn findings(outcome: &Outcome) -> Option<&[Finding]> {
    match outcome {
        Outcome::Finding { findings } => Some(findings),
        _ => None,
    }
}

fn findings_mut(outcome: &mut Outcome) -> Option<&mut [Finding]> {
    match outcome {
        Outcome::Finding { findings } => Some(findings),
        _ => None,
    }
}

/// How much two sentences are alike, letter by letter, 0 to 1.
fn likeness(one: &[String], other: &[String]) -> f64 {
    strsim::normalized_levenshtein(&one.concat(), &other.concat())
}
