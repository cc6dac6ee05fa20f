//! The voice that says findings back.

use std::path::PathBuf;

use super::Loudspeaker;
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
    /// There is no speech program; see [`Voice::why_as_text`] for the sentence.
    #[error("{0}")]
    NoProgram(String),
    #[error(transparent)]
    Sound(#[from] SoundError),
}

/// How a sentence reached the therapist.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Said {
    /// It was spoken and has been heard.
    Aloud,
    /// It cannot be spoken here: the caller prints it. [`Voice::why_as_text`] says why.
    AsText,
}

/// A speech program and a loudspeaker, or the reason why there is none.
pub struct Voice {
    /// As asked for.
    name: String,
    program: Option<PathBuf>,
    why_as_text: Option<String>,
    /// The loudspeaker's name; `None`: the system's own choice.
    loudspeaker: Option<String>,
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
        }
    }

    /// Through the loudspeaker of this name, as `couchside devices` lists it.
    #[must_use]
    pub fn through(self, loudspeaker: Option<String>) -> Voice {
        Voice { loudspeaker, ..self }
    }

    /// Sounds mono samples at [`SAMPLE_RATE`] and comes back when they have been heard. Where there is no loudspeaker nothing is
    /// sounded.
    ///
    /// # Errors
    /// The loudspeaker failed at it.
    pub fn sound(&mut self, samples: &[f32]) -> Result<Said, VoiceError> {
        match Loudspeaker::open(self.loudspeaker.as_deref()) {
            Ok(loudspeaker) => loudspeaker.play(samples, SAMPLE_RATE)?,
            Err(error) => {
                self.why_as_text = Some(error.to_string());
                return Ok(Said::AsText);
            }
        }
        self.why_as_text = None;
        Ok(Said::Aloud)
    }

    /// Says the text and comes back when it has been heard. Where it cannot be spoken it is for the caller to print.
    ///
    /// # Errors
    /// The speech program or the loudspeaker failed at it. The text has then not been heard.
    pub fn say(&mut self, text: &str) -> Result<Said, VoiceError> {
        let Some(program) = &self.program else {
            return Ok(Said::AsText);
        };
        // Asked every time: a headset may be switched on in the middle of a visit.
        let loudspeaker = match Loudspeaker::open(self.loudspeaker.as_deref()) {
            Ok(loudspeaker) => loudspeaker,
            Err(error) => {
                self.why_as_text = Some(error.to_string());
                return Ok(Said::AsText);
            }
        };
        let speech = speak(program, text)?;
        if !speech.samples.is_empty() {
            loudspeaker.play(&speech.samples, speech.rate)?;
        }
        self.why_as_text = None;
        Ok(Said::Aloud)
    }

    /// Why the last text could not be spoken, in one sentence; `None` when it was.
    pub fn why_as_text(&self) -> Option<&str> {
        self.why_as_text.as_deref()
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

fn missing(name: &str) -> String {
    format!(
        "the speech program {name} is not installed, so findings are said back on the screen; install it to hear them"
    )
}
