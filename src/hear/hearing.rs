//! One hearing of a sound: the grammar's sentences with their scores, and the free transcript.

use std::path::Path;
use std::sync::Arc;

use super::aliases::Aliases;
use super::by_sound::ByEar;
use super::engine::{Engine, EngineError, Transcript, Window};
use super::prose::Prose;
use super::search::{Effort, Hypothesis, Spelling, search};
use crate::grammar::Grammar;

/// What was heard in a sound.
#[derive(Clone, Debug)]
pub struct Hearing {
    /// What the model writes when nothing holds it.
    pub free: Transcript,
    /// The grammar's likeliest sentences, best first; empty if there is none.
    pub sentences: Vec<Hypothesis>,
    /// The probability, 0 to 1, that nobody speaks.
    pub no_speech: f32,
    /// How many sounds the free transcript has.
    pub sounds: usize,
}

impl Hearing {
    /// Whether the model freely wrote the one sentence of the grammar that it found, and was hardly bent for it.
    pub fn is_clear(&self) -> bool {
        let [only] = self.sentences.as_slice() else {
            return false;
        };
        only.distance == 0.0 && only.mean_bend() > HARDLY
    }
}

/// A mean bend, in nats, up to which a model was hardly bent.
const HARDLY: f32 = -0.02;

/// A speech model held to a grammar.
pub(super) struct Ear {
    engine: Engine,
    spelling: Spelling,
    by_ear: ByEar,
    effort: Effort,
    grammar: Arc<Grammar>,
}

/// Tokens of the longest free transcript of an utterance.
const FREE_TOKENS: usize = 120;
/// Sentences that sound like the transcript and are scored.
const MOST_PROPOSED: usize = 3;
/// How much farther than the nearest they may be, and how far at all.
const NEAR: f32 = 0.06;
const FAR: f32 = 0.2;

impl Ear {
    /// Loads the model.
    pub fn load(model: &Path, grammar: Arc<Grammar>) -> Result<Ear, EngineError> {
        let engine = Engine::load(model)?;
        Ok(Ear {
            spelling: Spelling::new(grammar.clone(), engine.vocabulary()),
            by_ear: ByEar::new(grammar.clone()),
            effort: Effort::default(),
            engine,
            grammar,
        })
    }

    /// Hears 16 kHz sound. A note's words are written by `prose`, if it is there.
    pub fn hear(
        &mut self,
        samples: &[f32],
        aliases: &Aliases,
        prose: Option<&mut Prose>,
    ) -> Result<Hearing, EngineError> {
        self.engine.encode(samples, Window::Fitted)?;
        let no_speech = self.engine.no_speech()?;
        let mut free = self.engine.transcribe(FREE_TOKENS)?;
        if self.grammar.opens_note(&free.text)
            && let Some(better) = prose.and_then(|prose| prose.transcribe(samples))
            && self.grammar.opens_note(&better.text)
        {
            free = better;
        }
        let put_right = aliases.put_right(&self.grammar.words(&free.text));
        let put_right = put_right.map(|words| words.join(" "));
        let by_ear = &mut self.by_ear;
        let propose = || {
            let mut proposed = proposals(by_ear, &free.text);
            proposed.extend(put_right.iter().flat_map(|text| proposals(by_ear, text)));
            proposed
        };
        let mut sentences = search(&mut self.engine, &mut self.spelling, self.effort, propose)?;
        for sentence in &mut sentences {
            sentence.distance = self.by_ear.distance(&sentence.text, &free.text);
            if let Some(text) = &put_right {
                sentence.distance = sentence.distance.min(self.by_ear.distance(&sentence.text, text));
            }
        }
        Ok(Hearing {
            sounds: self.by_ear.sounds(&free.text).len(),
            free,
            sentences,
            no_speech,
        })
    }
}

/// The sentences that sound most like a transcript, in digits and in words.
fn proposals(by_ear: &mut ByEar, transcript: &str) -> Vec<Vec<String>> {
    let nearest = by_ear.read(transcript);
    let farthest = nearest
        .first()
        .map_or(FAR, |first| FAR.min(first.distance + NEAR));
    nearest
        .iter()
        .filter(|sentence| sentence.distance <= farthest)
        .map(|sentence| vec![by_ear.in_digits(&sentence.text), sentence.text.clone()])
        .take(MOST_PROPOSED)
        .collect()
}
