//! What was heard → what it says: whether the sound is dictation at all, which sentence it is, and what is in doubt.
//!
//! Two readers speak for a sentence of the grammar. Its *bend* is how much less likely it is than what the model would
//! freely write: little for dictation, much for talk. Its *distance* is how far it is from the free transcript by the
//! sounds. Both together say which sentence is the best and how sure it is; what comes close to it and says something
//! else makes a doubt.

mod belief;
mod candidate;
mod evidence;
mod standing;

pub use belief::Belief;
pub use candidate::{Candidate, Fit};
pub use evidence::Evidence;
pub use standing::Standing;

use crate::finding::{Finding, Kind, Outcome};
use crate::hear::Heard;

use super::{Interpreter, Reading, doubts};
use candidate::{evidence, findings, is_dictation};

/// An utterance, understood as far as it goes.
#[derive(Clone, Debug)]
pub struct Understood {
    /// The words that were read; for talk and for notes, those of the free transcript.
    pub words: String,
    pub reading: Reading,
    /// For dictation the probability, 0 to 1, that it is what was said; for talk that it is talk; for a note the mean
    /// probability of its pieces of words.
    pub confidence: f32,
}

/// Above this probability that nobody speaks, nothing is dictation.
const SILENT: f32 = 0.6;

impl Interpreter {
    /// Decides what an utterance says. The next one does not lean on it until it is
    /// [followed](Interpreter::follow).
    pub fn choose(&self, heard: &Heard) -> Understood {
        let Reading {
            outcome: free, cued, ..
        } = self.peek(&heard.free.text);
        let in_free_words = |outcome: Outcome, confidence: f32| Understood {
            words: heard.free.text.clone(),
            reading: Reading {
                outcome,
                amends: false,
                from: None,
                cued,
            },
            confidence,
        };
        let Some(belief) = Belief::of(&heard.model).filter(|_| heard.no_speech <= SILENT) else {
            return in_free_words(Outcome::Aside, heard.no_speech);
        };
        if is_note(&free) {
            // No sentence of the grammar holds a note's words: the free transcript alone speaks for them.
            return in_free_words(free, heard.free.probability());
        }
        let candidates = self.candidates(heard, belief);
        let evidence = evidence(&candidates, &free, heard.sounds, belief);
        let (Some(best), Some(evidence)) = (candidates.first(), evidence) else {
            return in_free_words(not_taken(free), 1.0);
        };
        let right = belief.right(&evidence, self.shift);
        let limit = match best.acts_at_once() {
            true => belief.obey,
            false => belief.take,
        };
        let certain = !best.acts_at_once() || self.written_twice(heard, &free, &best.reading.outcome);
        if right >= limit && certain {
            let mut reading = best.reading.clone();
            let least = best.weight(belief.by_ear) - belief.doubt;
            for rival in candidates[1..]
                .iter()
                .take_while(|rival| rival.weight(belief.by_ear) >= least)
            {
                if let (Some(ours), Some(theirs)) = (
                    findings_mut(&mut reading.outcome),
                    findings(&rival.reading.outcome),
                ) {
                    doubts::mark(ours, theirs);
                }
            }
            return Understood {
                words: best.words.clone(),
                reading,
                confidence: right,
            };
        }
        let nearly = right >= belief.ask && !best.acts_at_once();
        if nearly && !self.has_talk(&heard.free.text) {
            return in_free_words(not_clear(), 1.0 - right);
        }
        in_free_words(not_taken(free), 1.0 - right)
    }

    /// A control word acts without being said back, so the model must freely have written it both times.
    fn written_twice(&self, heard: &Heard, free: &Outcome, control: &Outcome) -> bool {
        let again = heard.again.as_ref();
        free == control && again.is_some_and(|again| self.peek(&again.text).outcome == *control)
    }

    fn has_talk(&self, text: &str) -> bool {
        self.grammar
            .words(text)
            .iter()
            .any(|word| self.grammar.talk.contains(word))
    }
}

fn is_note(outcome: &Outcome) -> bool {
    findings(outcome).is_some_and(|findings| findings.iter().any(|finding| finding.kind == Kind::Note))
}

fn not_clear() -> Outcome {
    Outcome::Unclear {
        why: "it sounded like a finding, but not clearly enough".into(),
    }
}

/// What the free transcript says, if nothing of it is to be taken down.
fn not_taken(free: Outcome) -> Outcome {
    match free {
        outcome if is_dictation(&outcome) => not_clear(),
        outcome => outcome,
    }
}

fn findings_mut(outcome: &mut Outcome) -> Option<&mut [Finding]> {
    match outcome {
        Outcome::Finding { findings } => Some(findings),
        _ => None,
    }
}
