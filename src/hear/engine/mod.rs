//! The speech model at work: one encoding per utterance, and as many looks at it as the search wants.
//!
//! ```text
//! encode(sound)                      once per utterance
//! scores(&[])  scores(&[a])  …       log-probabilities of the next token, for any prefix in any order
//! ```
//! whisper.cpp's own decoding loop is not used: the search needs every score, and the freedom to go back.

mod error;
mod greedy;
mod processor;
mod raw;
mod vocabulary;

use std::collections::HashMap;
use std::path::Path;

pub use error::EngineError;
pub use greedy::{Ending, Transcript};
pub use vocabulary::Vocabulary;

use super::SAMPLE_RATE;
use super::model::catalogue::{Margin, margin_of};
use raw::Whisper;

/// A token's id in the model's vocabulary; never negative in what the engine hands out.
pub type Token = i32;

/// The longest sound that can be encoded, in seconds: what Whisper models are trained on.
pub const LONGEST_S: f32 = 30.0;

/// The shortest sound, in seconds; shorter ones get silence after them, because whisper.cpp reads out of bounds
/// below 200 samples and ignores less than 0.1 s.
const SHORTEST_S: f32 = 0.3;

/// How much of Whisper's window of 30 s the encoder looks at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Window {
    /// The sound and the model's own margin ([`Margin`]): a fraction of the time of the full window for a phrase.
    Fitted,
    /// All 30 s, as the models were trained.
    Full,
}

impl Window {
    /// Positions of 20 ms for a sound of so many seconds.
    fn places(self, seconds: f32, margin: Margin) -> u16 {
        const FULL: u16 = 1500;
        let places = |seconds: f32| (seconds * 50.0).ceil() as u16;
        match self {
            Window::Fitted => places(seconds)
                .saturating_add(places(margin.more_s))
                .max(places(margin.least_s))
                .min(FULL),
            Window::Full => FULL,
        }
    }
}

/// A speech model, loaded, with the encoding of the utterance at hand.
///
/// Can be moved to another thread, but used by one at a time. Every method may be called again after any error.
pub struct Engine {
    whisper: Whisper,
    vocabulary: Vocabulary,
    prompt: Vec<Token>,
    margin: Margin,
    /// Seconds of the encoded sound; `None` until there is one.
    seconds: Option<f32>,
    /// The tokens whose keys and values the decoder holds, prompt included.
    decoded: Vec<Token>,
    /// Log-probabilities after each prefix that was asked for: the search comes back to most of them. 0.2 MB each.
    scores: HashMap<Vec<Token>, Vec<f32>>,
}

impl Engine {
    /// Loads a ggml Whisper model of any size, `.en` or multilingual. Takes some tens of milliseconds from a
    /// warm disk for the smallest.
    pub fn load(path: &Path) -> Result<Engine, EngineError> {
        processor::check()?;
        let bytes = vocabulary::read(path)?;
        let whisper = Whisper::load(path).ok_or_else(|| EngineError::NotLoaded(path.into()))?;
        let vocabulary = Vocabulary::new(bytes, whisper.special_ids());
        Ok(Engine {
            prompt: vocabulary.prompt(),
            margin: margin_of(path),
            whisper,
            vocabulary,
            seconds: None,
            decoded: Vec::new(),
            scores: HashMap::new(),
        })
    }

    /// What the model's tokens stand for.
    pub fn vocabulary(&self) -> &Vocabulary {
        &self.vocabulary
    }

    /// Takes in an utterance: 16 kHz, mono, −1 to 1, at most [`LONGEST_S`]; a short one is filled up with
    /// silence. All later calls are about this sound. After an error there is no sound at hand.
    pub fn encode(&mut self, samples: &[f32], window: Window) -> Result<(), EngineError> {
        self.seconds = None;
        self.start();
        let seconds = samples.len() as f32 / SAMPLE_RATE as f32;
        if seconds > LONGEST_S {
            return Err(EngineError::TooLong { seconds });
        }
        if let Some(at) = samples.iter().position(|sample| !sample.is_finite()) {
            return Err(EngineError::NotSound { at });
        }
        let shortest = (SHORTEST_S * SAMPLE_RATE as f32) as usize;
        let places = window.places(seconds, self.margin);
        let encoded = if samples.len() < shortest {
            let mut padded = samples.to_vec();
            padded.resize(shortest, 0.0);
            self.whisper.encode(&padded, places)
        } else {
            self.whisper.encode(samples, places)
        };
        if !encoded {
            return Err(EngineError::Failed {
                doing: "taking in the sound",
            });
        }
        self.seconds = Some(seconds);
        Ok(())
    }

    /// Forgets what was decoded, so that the next scores are computed afresh. [`encode`](Engine::encode) does
    /// it too.
    pub fn start(&mut self) {
        self.decoded.clear();
        self.scores.clear();
    }

    /// Log-probabilities of the next token after the prompt and `prefix`, indexed by token. They are taken over
    /// the text tokens and the end of text alone; every other token, and the one without bytes, has −∞.
    ///
    /// Nothing is computed twice for a sound, nor what `prefix` shares with the one computed before. The tokens after that go through the
    /// decoder together: the first costs most, because it reads all the weights. Together they round otherwise
    /// than one by one, so that the same prefix reached by another way may differ by some thousandths; the same
    /// calls in the same order give the same bits. Tokens of the prefix must be the vocabulary's text tokens.
    pub fn scores(&mut self, prefix: &[Token]) -> Result<&[f32], EngineError> {
        if let Some(&token) = prefix
            .iter()
            .find(|&&token| !(0..self.vocabulary.end_of_text()).contains(&token))
        {
            return Err(EngineError::UnknownToken(token));
        }
        if self.knows(prefix) {
            return Ok(&self.scores[prefix]);
        }
        let mut wanted = self.prompt.clone();
        wanted.extend_from_slice(prefix);
        let n_text = self.vocabulary.n_text();
        let logits = decode(&mut self.whisper, self.seconds, &mut self.decoded, &wanted)?;
        let mut scores = vec![f32::NEG_INFINITY; logits.len()];
        let text = &mut scores[..=n_text];
        text.copy_from_slice(&logits[..=n_text]);
        if self.vocabulary.is_multilingual() {
            for (token, score) in text[..n_text].iter_mut().enumerate() {
                if self.vocabulary.bytes(token as Token).is_empty() {
                    *score = f32::NEG_INFINITY;
                }
            }
        }
        log_softmax(text);
        Ok(self.scores.entry(prefix.to_vec()).or_insert(scores))
    }

    /// Whether the scores after `prefix` are at hand, so that asking for them costs nothing.
    pub fn knows(&self, prefix: &[Token]) -> bool {
        self.scores.contains_key(prefix)
    }

    /// The probability, 0 to 1, that nobody speaks: that of the no-speech token right after the start, among all
    /// tokens. Costs least before the first [`scores`](Engine::scores), which goes on from it. High for silence
    /// and noise; says nothing about whether speech is dictation.
    pub fn no_speech(&mut self) -> Result<f32, EngineError> {
        let start = [self.vocabulary.start_of_transcript()];
        let mut row = decode(&mut self.whisper, self.seconds, &mut self.decoded, &start)?.to_vec();
        log_softmax(&mut row);
        Ok(row[self.vocabulary.no_speech() as usize].exp())
    }

    /// The text of a run of tokens, see [`Vocabulary::words`].
    pub fn words(&self, tokens: &[Token]) -> String {
        self.vocabulary.words(tokens)
    }
}

/// Brings the decoder from the tokens it holds, `decoded`, to `wanted`, and returns the logits after the last one.
/// A free function, so that the logits borrow `whisper` and not the whole engine.
fn decode<'a>(
    whisper: &'a mut Whisper,
    seconds: Option<f32>,
    decoded: &mut Vec<Token>,
    wanted: &[Token],
) -> Result<&'a [f32], EngineError> {
    if seconds.is_none() {
        return Err(EngineError::NoSound);
    }
    if wanted.len() > whisper.n_places {
        return Err(EngineError::PhraseTooLong {
            tokens: wanted.len(),
            limit: whisper.n_places,
        });
    }
    let shared = wanted
        .iter()
        .zip(decoded.iter())
        .take_while(|(a, b)| a == b)
        .count();
    // The logits of the last token only exist right after it was fed, so that one is always fed.
    let past = shared.min(wanted.len() - 1);
    decoded.clear();
    let failed = EngineError::Failed {
        doing: "working out the words",
    };
    let Some(logits) = whisper.decode(&wanted[past..], past) else {
        return Err(failed);
    };
    if logits.iter().any(|logit| logit.is_nan()) {
        return Err(failed);
    }
    decoded.extend_from_slice(wanted);
    Ok(logits)
}

/// Turns logits into log-probabilities, in place; −∞ stays.
fn log_softmax(logits: &mut [f32]) {
    let highest = logits.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    let sum: f64 = logits
        .iter()
        .map(|logit| f64::from((logit - highest).exp()))
        .sum();
    let shift = highest + sum.ln() as f32;
    for logit in logits {
        *logit -= shift;
    }
}
