//! What sounds the program's answers.

use super::VoiceError;

/// What is being sounded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sounding {
    Nothing,
    /// Tones: they hold no words, and are listened through.
    Tones,
    Words,
}

/// How a sentence or a tone reaches the therapist.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Said {
    /// It is sounded, after what is being sounded already.
    Aloud,
    /// It cannot be sounded here: it is on the screen. [`Mouth::why_as_text`] says why.
    AsText,
}

/// Sounds one thing after another while something else goes on: nothing here waits for sound to end.
pub trait Mouth {
    /// Says the text.
    ///
    /// # Errors
    /// The speech program or the loudspeaker failed at it.
    fn say(&mut self, text: &str) -> Result<Said, VoiceError>;

    /// Sounds mono samples at [`crate::hear::SAMPLE_RATE`] that hold no words.
    ///
    /// # Errors
    /// The loudspeaker failed at it.
    fn sound(&mut self, samples: &[f32]) -> Result<Said, VoiceError>;

    /// Goes on to the next thing where one has ended, and tells what is being sounded. To be called every 20 ms or so.
    ///
    /// # Errors
    /// The loudspeaker failed at what was being sounded; it is given up.
    fn go_on(&mut self) -> Result<Sounding, VoiceError>;

    /// Adds to `out` so many samples, mono at [`crate::hear::SAMPLE_RATE`], of what goes to the loudspeaker; zeros where nothing
    /// does. Each sample once.
    fn sounded(&mut self, count: usize, out: &mut Vec<f32>);

    /// Stops speaking at once. Tones go on.
    fn hush(&mut self);

    /// Why the last thing could not be sounded, in one sentence; `None` when it was.
    fn why_as_text(&self) -> Option<&str>;
}
