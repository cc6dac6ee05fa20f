//! The voice that says findings back.

use std::collections::VecDeque;
use std::path::PathBuf;

use super::loudspeaker::{Loudspeaker, MOST_S};
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
    wanted: Option<String>,
    /// Opened with the first thing to be sounded.
    loudspeaker: Option<Loudspeaker>,
    now: Option<Now>,
    next: VecDeque<Clip>,
    /// What was told of, in samples, see [`Mouth::sounded`].
    told: u64,
    ahead: Ahead,
}

/// How much longer the loudspeaker has been open than was told of, in samples: on the average, for both come in pieces.
#[derive(Default)]
struct Ahead {
    samples: f64,
    /// Times that it was looked at.
    looked: u32,
}

/// A loudspeaker that was just opened first fills its own buffer: so often (0.5 s) the last look counts alone.
const FILLS: u32 = 25;
/// In the long run it follows in ten seconds, at 20 ms a piece: two clocks part more slowly.
const FOLLOWS: f64 = 0.002;

impl Ahead {
    fn look(&mut self, samples: f64) {
        self.looked = self.looked.saturating_add(1);
        let looked = self.looked.saturating_sub(FILLS).max(1);
        self.samples += (samples - self.samples) * (1.0 / f64::from(looked)).max(FOLLOWS);
    }
}

/// Something to be sounded: mono samples at [`SAMPLE_RATE`].
struct Clip {
    samples: Vec<f32>,
    words: bool,
}

/// What is being sounded.
struct Now {
    clip: Clip,
    /// How much of it was told of; not known before it has begun.
    told: Option<usize>,
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
            wanted: None,
            loudspeaker: None,
            now: None,
            next: VecDeque::new(),
            told: 0,
            ahead: Ahead::default(),
        }
    }

    /// Through the loudspeaker of this name, as `couchside devices` lists it.
    #[must_use]
    pub fn through(self, loudspeaker: Option<String>) -> Voice {
        Voice {
            wanted: loudspeaker,
            ..self
        }
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
    /// In clips that the loudspeaker can take.
    fn begin_all(&mut self, samples: &[f32], words: bool) -> Result<Said, VoiceError> {
        let mut said = Said::Aloud;
        // Where there is nothing to sound, whether it could be is told all the same.
        let nothing: &[f32] = &[];
        let clips = samples.chunks(MOST_S * SAMPLE_RATE as usize);
        for clip in clips.chain(samples.is_empty().then_some(nothing)) {
            let samples = clip.to_vec();
            said = self.begin(Clip { samples, words })?;
        }
        Ok(said)
    }

    fn begin(&mut self, clip: Clip) -> Result<Said, VoiceError> {
        let loudspeaker = match &mut self.loudspeaker {
            Some(open) => open,
            // Asked every time: a headset may be switched on in the middle of a visit.
            None => match Loudspeaker::open(self.wanted.as_deref()) {
                Ok(opened) => {
                    self.ahead = Ahead::default();
                    self.loudspeaker.insert(opened)
                }
                Err(error) => {
                    self.why_as_text = Some(error.to_string());
                    return Ok(Said::AsText);
                }
            },
        };
        self.why_as_text = None;
        // What was hushed may still be on its way out.
        if self.now.is_some() || !loudspeaker.is_over()? {
            self.next.push_back(clip);
        } else if !clip.samples.is_empty() {
            loudspeaker.begin(&clip.samples)?;
            self.now = Some(Now { clip, told: None });
        }
        Ok(Said::Aloud)
    }

    /// How much of the clip that is being sounded has been told of, once it has begun: it began that long before what is told
    /// of now.
    fn begun(&self) -> Option<usize> {
        let began = self.loudspeaker.as_ref()?.began()? as f64;
        Some((self.told as f64 + self.ahead.samples - began).max(0.0) as usize)
    }
}

impl Mouth for Voice {
    fn say(&mut self, text: &str) -> Result<Said, VoiceError> {
        if self.program.is_none() {
            return Ok(Said::AsText);
        }
        let samples = self.render(text)?;
        self.begin_all(&samples, true)
    }

    fn sound(&mut self, samples: &[f32]) -> Result<Said, VoiceError> {
        self.begin_all(samples, false)
    }

    fn go_on(&mut self) -> Result<Sounding, VoiceError> {
        let over = self.loudspeaker.as_mut().map_or(Ok(true), Loudspeaker::is_over);
        if let Err(error) = over {
            // It is opened anew for what comes next.
            (self.loudspeaker, self.now) = (None, None);
            self.next.clear();
            return Err(error.into());
        }
        if matches!(over, Ok(true)) {
            self.now = None;
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
        let begun = self.begun();
        if let Some(now) = &mut self.now
            && let Some(told) = now.told.or(begun)
        {
            let told = told.min(now.clip.samples.len());
            let rest = &now.clip.samples[told..];
            let more = rest.len().min(count);
            out.extend_from_slice(&rest[..more]);
            now.told = Some(told + more);
        }
        out.resize(from + count, 0.0);
        self.told += count as u64;
        if let Some(loudspeaker) = &self.loudspeaker {
            self.ahead.look(loudspeaker.sounded() as f64 - self.told as f64);
        }
    }

    fn hush(&mut self) {
        if let Some(loudspeaker) = &mut self.loudspeaker
            && self.now.take_if(|now| now.clip.words).is_some()
        {
            loudspeaker.hush();
        }
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
