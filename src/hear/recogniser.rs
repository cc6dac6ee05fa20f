//! An utterance's sound → what it may say: the grammar's sentences with their scores, and the free transcript.
//!
//! A control word acts without being said back, so it is heard a second time, played slower: what a small model mishears in a
//! babble of voices it seldom mishears again in another pitch and pace.

use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use super::SAMPLE_RATE;
use super::aliases::Aliases;
use super::by_sound::ByEar;
use super::engine::{Engine, EngineError, LONGEST_S, Transcript, Window};
use super::prose::Prose;
use super::resample::resample;
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
    /// Where the likeliest sentence is a control word, what the model writes freely of the same sound played slower; else `None`.
    pub again: Option<Transcript>,
    /// The program spoke while it was said. Whoever takes in the sound knows.
    pub over_voice: bool,
    /// A key let it in. Whoever takes in the sound knows.
    pub let_in: bool,
    /// The sound that it was heard in.
    pub utterance: Utterance,
    /// The probability, 0 to 1, that nobody speaks.
    pub no_speech: f32,
    /// How many sounds the free transcript has.
    pub sounds: usize,
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
    engine: Engine,
    spelling: Spelling,
    by_ear: ByEar,
    effort: Effort,
    model: Arc<str>,
    grammar: Arc<Grammar>,
    aliases: Aliases,
    prose: Prose,
}

/// Tokens of the longest free transcript of an utterance.
const FREE_TOKENS: usize = 120;
/// Sentences that sound like the transcript and are scored.
const MOST_PROPOSED: usize = 3;
/// How much farther than the nearest they may be, and how far at all.
const NEAR: f32 = 0.06;
const FAR: f32 = 0.2;
/// How much slower a control word is played the second time.
const SLOWER: (u32, u32) = (16, 17);

impl Recogniser {
    /// Loads the model.
    pub fn load(model: &Path, grammar: Arc<Grammar>) -> Result<Recogniser, EngineError> {
        let engine = Engine::load(model)?;
        let spelling = Spelling::new(grammar.clone(), engine.vocabulary());
        Ok(Recogniser {
            engine,
            spelling,
            by_ear: ByEar::new(grammar.clone()),
            effort: Effort::default(),
            model: model_name(model).into(),
            grammar,
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
        self.engine.encode(&utterance.samples, Window::Fitted)?;
        let no_speech = self.engine.no_speech()?;
        let mut free = self.engine.transcribe(FREE_TOKENS)?;
        if self.grammar.opens_note(&free.text)
            && let Some(prose) = self.prose.transcribe(&utterance.samples)
            && self.grammar.opens_note(&prose.text)
        {
            free = prose;
        }
        let put_right = self.aliases.put_right(&self.grammar.words(&free.text));
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
        let control = sentences
            .first()
            .is_some_and(|best| self.grammar.opens_control(&best.text));
        let again = match control {
            true => self.again(&utterance.samples)?,
            false => None,
        };
        Ok(Heard {
            start_s: utterance.start_s,
            end_s: utterance.end_s,
            utterance: utterance.clone(),
            sounds: self.by_ear.sounds(&free.text).len(),
            free,
            sentences,
            again,
            over_voice: false,
            let_in: false,
            no_speech,
            model: self.model.clone(),
            took: began.elapsed(),
            answered_s: None,
        })
    }

    /// What the model writes of the sound played slower; `None` if that is longer than it can hear at once.
    fn again(&mut self, samples: &[f32]) -> Result<Option<Transcript>, EngineError> {
        let slower = resample(samples, SAMPLE_RATE, SAMPLE_RATE / SLOWER.0 * SLOWER.1);
        let Some(slower) = slower
            .ok()
            .filter(|slower| slower.len() as f32 <= LONGEST_S * SAMPLE_RATE as f32)
        else {
            return Ok(None);
        };
        self.engine.encode(&slower, Window::Fitted)?;
        self.engine.transcribe(FREE_TOKENS).map(Some)
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

/// The name of a model by that of its file.
pub fn model_name(file: &Path) -> String {
    let name = file.file_stem().unwrap_or_default().to_string_lossy();
    name.strip_prefix("ggml-").unwrap_or(&name).to_string()
}
