//! An utterance's sound → what it may say: the grammar's sentences with their scores, and the free transcript.

use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use super::engine::{Engine, EngineError, Transcript, Window};
use super::search::{Effort, Hypothesis, Spelling, search};
use super::utterance::Utterance;
use crate::grammar::Grammar;

/// What was heard in one utterance.
#[derive(Clone, Debug)]
pub struct Heard {
    /// Where the speech began and ended, in seconds from the beginning of the sound.
    pub start_s: f64,
    pub end_s: f64,
    /// What the model writes when nothing holds it.
    pub free: Transcript,
    /// The grammar's likeliest sentences, best first; empty if there is none.
    pub sentences: Vec<Hypothesis>,
    /// The probability, 0 to 1, that nobody speaks.
    pub no_speech: f32,
    /// How long all this took.
    pub took: Duration,
}

/// A speech model held to a grammar.
pub struct Recogniser {
    engine: Engine,
    spelling: Spelling,
    effort: Effort,
}

/// Tokens of the longest free transcript of an utterance.
const FREE_TOKENS: usize = 120;

impl Recogniser {
    /// Loads the model.
    pub fn load(model: &Path, grammar: Arc<Grammar>) -> Result<Recogniser, EngineError> {
        let engine = Engine::load(model)?;
        let spelling = Spelling::new(grammar, engine.vocabulary());
        Ok(Recogniser {
            engine,
            spelling,
            effort: Effort::default(),
        })
    }

    /// Hears one utterance.
    pub fn hear(&mut self, utterance: &Utterance) -> Result<Heard, EngineError> {
        let began = Instant::now();
        self.engine.encode(&utterance.samples, Window::Fitted)?;
        let no_speech = self.engine.no_speech()?;
        let free = self.engine.transcribe(FREE_TOKENS)?;
        let sentences = search(&mut self.engine, &mut self.spelling, self.effort)?;
        Ok(Heard {
            start_s: utterance.start_s,
            end_s: utterance.end_s,
            free,
            sentences,
            no_speech,
            took: began.elapsed(),
        })
    }
}
