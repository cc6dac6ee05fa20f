//! An utterance's sound → what it may say, heard once or twice.

use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use super::aliases::Aliases;
use super::engine::{EngineError, LONGEST_S, Transcript};
use super::hearing::{Ear, Hearing};
use super::model::catalogue::hears_twice;
use super::prose::Prose;
use super::resample::resample;
use super::search::Hypothesis;
use super::utterance::Utterance;
use super::{SAMPLE_RATE, SoundError};
use crate::grammar::Grammar;

/// What was heard in one utterance.
#[derive(Clone, Debug)]
pub struct Heard {
    /// Where the speech began and ended, in seconds from the beginning of the sound.
    pub start_s: f64,
    pub end_s: f64,
    /// These are as in [`Hearing`].
    pub free: Transcript,
    pub sentences: Vec<Hypothesis>,
    pub no_speech: f32,
    pub sounds: usize,
    /// What was heard in the same sound played slower; `None` where the first hearing was clear or found nothing, and for a model
    /// that is not the surer for it.
    pub again: Option<Hearing>,
    /// The sound that it was heard in.
    pub utterance: Utterance,
    /// The name of the model that heard it.
    pub model: Arc<str>,
    /// How long all this took.
    pub took: Duration,
    /// Seconds from the end of the speech to where all this was known: the pause, and the hearing as far as it did not
    /// go on beside. `None` if the sound ended before the pause did.
    pub answered_s: Option<f64>,
}

/// A speech model held to a grammar.
pub struct Recogniser {
    ear: Ear,
    hears_twice: bool,
    grammar: Arc<Grammar>,
    model: Arc<str>,
    aliases: Aliases,
    prose: Prose,
}

/// How much slower an utterance is played the second time: what a small model mishears in a voice it seldom mishears in the same way in another one's pitch and
/// pace. Of 0.90, 0.94 and 1.06, 0.94 told most (measured on the set `fit`).
const SLOWER: (u32, u32) = (16, 17);

impl Recogniser {
    /// Loads the model.
    pub fn load(model: &Path, grammar: Arc<Grammar>) -> Result<Recogniser, EngineError> {
        Ok(Recogniser {
            ear: Ear::load(model, grammar.clone())?,
            hears_twice: hears_twice(model),
            grammar,
            model: model_name(model).into(),
            aliases: Aliases::default(),
            prose: Prose::beside(model),
        })
    }

    /// Listens for misheard words too: a sentence that they may stand for is looked at, and its sounds are compared with
    /// theirs. Nothing is read that the grammar could not read without them.
    #[must_use]
    pub fn with_aliases(self, aliases: Aliases) -> Recogniser {
        Recogniser { aliases, ..self }
    }

    /// Hears one utterance.
    pub fn hear(&mut self, utterance: &Utterance) -> Result<Heard, EngineError> {
        let began = Instant::now();
        let first = self.ear.hear(&utterance.samples, &self.aliases, Some(&mut self.prose))?;
        let again = match self.is_worth_another(&first) {
            true => slower(&utterance.samples).map(|slower| self.ear.hear(&slower, &self.aliases, None)),
            false => None,
        };
        Ok(Heard {
            start_s: utterance.start_s,
            end_s: utterance.end_s,
            utterance: utterance.clone(),
            free: first.free,
            sentences: first.sentences,
            no_speech: first.no_speech,
            sounds: first.sounds,
            again: again.transpose()?,
            model: self.model.clone(),
            took: began.elapsed(),
            answered_s: None,
        })
    }

    /// What may be dictation and is not clear; and every control word, as it acts without being said back.
    fn is_worth_another(&self, first: &Hearing) -> bool {
        let best = first.sentences.first();
        self.hears_twice
            && best.is_some_and(|best| !first.is_clear() || self.grammar.opens_control(&best.text))
    }
}

/// The sound played slower; `None` if it would be longer than a model can hear at once.
fn slower(samples: &[f32]) -> Option<Vec<f32>> {
    let (from, to) = (SAMPLE_RATE, SAMPLE_RATE / SLOWER.0 * SLOWER.1);
    let slower: Result<Vec<f32>, SoundError> = resample(samples, from, to);
    slower.ok().filter(|slower| slower.len() as f32 <= LONGEST_S * SAMPLE_RATE as f32)
}

/// The name of a model by that of its file.
pub fn model_name(file: &Path) -> String {
    let name = file.file_stem().unwrap_or_default().to_string_lossy();
    name.strip_prefix("ggml-").unwrap_or(&name).to_string()
}
