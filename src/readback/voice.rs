//! The voice that says findings back.

use std::collections::VecDeque;
use std::path::PathBuf;

use super::loudspeaker::{Loudspeaker, Playing};
use super::mouth::{Mouth, Said, Sounding};
use super::synthesis::{DEFAULT_PROGRAM, find_program, speak};
use crate::hear::{SAMPLE_RATE, SoundError, resample};

/// Why a sentence was not spoken although there is a speech program and a loudspeaker.
#[derive(Debug, thiserror::Error)]
pub enum VoiceError {
    #[error("the speech program {program} could not be started ({source}); install it again")]
    NotStarted { program: String, source: std::io::Error },
    #[error("the speech program {program} took too long over a sentence and was ended; try again")]
    TooSlow { program: String },
    #[error(
        "the speech program {program} stopped with an error; install it again, or choose another in the settings"
    )]
    Stopped { program: String },
    #[error("the speech program {program} gave something other than speech: {why}")]
    NotSpeech { program: String, why: String },
    /// There is no speech program; see [`Mouth::why_as_text`] for the sentence.
    #[error("{0}")]
    NoProgram(String),
    #[error(transparent)]
    Sound(#[from] SoundError),
}

/// A speech program and a loudspeaker, or the reason why there is none.
pub struct Voice {
    /// As asked for.
    name: String,
    program: Option<PathBuf>,
    why_as_text: Option<String>,
    /// The loudspeaker's name; `None`: the system's own choice.
    loudspeaker: Option<String>,
    now: Option<Now>,
    next: VecDeque<Clip>,
}

/// Something to be sounded: mono samples at [`SAMPLE_RATE`].
struct Clip {
    samples: Vec<f32>,
    words: bool,
}

/// What is being sounded.
struct Now {
    playing: Playing,
    clip: Clip,
    /// How much of it has been told of, see [`Mouth::sounded`].
    told: usize,
}

impl Voice {
    /// Looks for the speech program: the one given, by name or place, or espeak-ng. It must understand espeak-ng's
    /// `--stdin` and `--stdout`. None installed is no error: the voice then has everything printed.
    pub fn find(program: Option<&str>) -> Self {
        let name = program.unwrap_or(DEFAULT_PROGRAM).to_owned();
        let program = find_program(&name);
        let why_as_text = program.is_none().then(|| missing(&name));
        Voice {
            name,
            program,
            why_as_text,
            loudspeaker: None,
            now: None,
            next: VecDeque::new(),
        }
    }

    /// Through the loudspeaker of this name, as `couchside devices` lists it.
    #[must_use]
    pub fn through(self, loudspeaker: Option<String>) -> Voice {
        Voice { loudspeaker, ..self }
    }

    /// The speech for the text as mono samples at [`SAMPLE_RATE`], without playing it. Empty for a text without
    /// words.
    ///
    /// # Errors
    /// There is no speech program, or it failed.
    pub fn render(&self, text: &str) -> Result<Vec<f32>, VoiceError> {
        let program = self
            .program
            .as_ref()
            .ok_or_else(|| VoiceError::NoProgram(missing(&self.name)))?;
        let speech = speak(program, text)?;
        Ok(resample(&speech.samples, speech.rate, SAMPLE_RATE)?)
    }
}

impl Voice {
    fn begin(&mut self, clip: Clip) -> Result<Said, VoiceError> {
        // Asked every time: a headset may be switched on in the middle of a visit.
        let loudspeaker = match Loudspeaker::open(self.loudspeaker.as_deref()) {
            Ok(loudspeaker) => loudspeaker,
            Err(error) => {
                self.why_as_text = Some(error.to_string());
                return Ok(Said::AsText);
            }
        };
        self.why_as_text = None;
        if self.now.is_some() {
            self.next.push_back(clip);
        } else if !clip.samples.is_empty() {
            let playing = loudspeaker.begin(&clip.samples, SAMPLE_RATE)?;
            self.now = Some(Now {
                playing,
                clip,
                told: 0,
            });
        }
        Ok(Said::Aloud)
    }
}

impl Mouth for Voice {
    fn say(&mut self, text: &str) -> Result<Said, VoiceError> {
        if self.program.is_none() {
            return Ok(Said::AsText);
        }
        let samples = self.render(text)?;
        self.begin(Clip { samples, words: true })
    }

    fn sound(&mut self, samples: &[f32]) -> Result<Said, VoiceError> {
        let samples = samples.to_vec();
        self.begin(Clip {
            samples,
            words: false,
        })
    }

    fn go_on(&mut self) -> Result<Sounding, VoiceError> {
        let over = self.now.as_ref().map_or(Ok(true), |now| now.playing.is_over());
        if !matches!(over, Ok(false)) {
            self.now = None;
            over?;
            if let Some(clip) = self.next.pop_front() {
                self.begin(clip)?;
            }
        }
        Ok(match &self.now {
            None => Sounding::Nothing,
            Some(now) if now.clip.words => Sounding::Words,
            Some(_) => Sounding::Tones,
        })
    }

    fn sounded(&mut self, count: usize, out: &mut Vec<f32>) {
        let from = out.len();
        if let Some(now) = &mut self.now {
            let rest = &now.clip.samples[now.told..];
            let told = rest.len().min(count);
            out.extend_from_slice(&rest[..told]);
            now.told += told;
        }
        out.resize(from + count, 0.0);
    }

    fn hush(&mut self) {
        self.now.take_if(|now| now.clip.words);
        self.next.retain(|clip| !clip.words);
    }

    fn why_as_text(&self) -> Option<&str> {
        self.why_as_text.as_deref()
    }
}

fn missing(name: &str) -> String {
    format!(
        "the speech program {name} is not installed, so findings are said back on the screen; install it to hear them"
    )
}
