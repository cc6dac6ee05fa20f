//! What spoke for each sentence of an utterance, and whether it was right: what the limits of a model are fitted to.

use serde::Serialize;

use super::case::{Case, Conditions};
use super::claim::Claim;
use super::judged::Class;
use super::run::is_settled;
use super::verdict::{Verdict, judge};
use crate::finding::Outcome;
use crate::hear::{ByEar, Heard};
use crate::interpret::{Belief, Fit, Interpreter};

/// An utterance that is the whole of its case.
#[derive(Clone, Debug, Serialize)]
pub struct Evidence {
    pub case: String,
    pub class: Class,
    pub conditions: Conditions,
    /// Sounds of the free transcript.
    pub sounds: usize,
    /// The sentences that say something.
    pub candidates: Vec<Sentence>,
    /// The free transcript alone says what was said.
    pub free_right: bool,
    /// So does the sentence whose sounds are nearest to it.
    pub nearest_right: bool,
}

/// A sentence and what speaks for it.
#[derive(Clone, Debug, Serialize)]
pub struct Sentence {
    pub words: String,
    #[serde(flatten)]
    pub fit: Fit,
    /// Sentences with the same number say the same.
    pub says: usize,
    /// The free transcript says the same.
    pub agreed: bool,
    /// It is a control word that acts at once.
    pub control: bool,
    /// It is what was said.
    pub right: bool,
    /// Nothing is missing in it: confirmed blindly, it is recorded.
    pub settled: bool,
    /// The search did not find it; the second reader named it.
    pub proposed: bool,
}

/// What spoke for the sentences of a case that was heard as one utterance.
pub(super) fn evidence(
    case: &Case,
    interpreter: &Interpreter,
    by_ear: &mut ByEar,
    heard: &Heard,
) -> Option<Evidence> {
    let [truth] = case.utterances.as_slice() else {
        return None;
    };
    let candidates = interpreter.candidates(heard, Belief::of(&heard.model)?);
    let meant = Claim::of([(&truth.outcome, false)]);
    let free = interpreter.peek(&heard.free.text).outcome;
    let is_right =
        |outcome: &Outcome| judge(&meant, &Claim::of([(outcome, false)])).verdict == Verdict::Right;
    let nearest = by_ear.read(&heard.free.text).into_iter().next();
    let nearest = nearest.map(|nearest| interpreter.peek(&nearest.text).outcome);
    let mut said: Vec<&Outcome> = Vec::new();
    let sentences = candidates.iter().map(|one| {
        let outcome = &one.reading.outcome;
        let says = said
            .iter()
            .position(|known| *known == outcome)
            .unwrap_or_else(|| {
                said.push(outcome);
                said.len() - 1
            });
        let claim = Claim::of([(outcome, one.reading.amends)]);
        Sentence {
            words: one.words.clone(),
            fit: one.fit,
            says,
            agreed: free == *outcome,
            control: one.acts_at_once(),
            right: judge(&meant, &claim).verdict == Verdict::Right,
            settled: is_settled(outcome),
            proposed: one.proposed,
        }
    });
    Some(Evidence {
        case: case.id.clone(),
        class: Class::of(truth),
        conditions: truth.conditions.clone(),
        sounds: heard.sounds,
        candidates: sentences.collect(),
        free_right: is_right(&free),
        nearest_right: nearest.is_some_and(|nearest| is_right(&nearest)),
    })
}
