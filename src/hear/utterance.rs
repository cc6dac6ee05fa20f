//! What an utterance is, and how the stream is cut into utterances.
//!
//! How long a pause ends an utterance depends on what was said before it. Somebody who has said a whole finding is
//! answered soon; somebody who has named a joint is given time to go on.

/// How the cuts are made. Times are in seconds.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// After a pause this long [`Cut::Pausing`] tells what was said so far, so that it can be heard while the pause
    /// lasts. Not shorter than `tail_s`, so that the sound is what it will be when the utterance ends.
    pub begun_s: f64,
    /// Pauses that end an utterance, see [`Pause`].
    pub short_s: f64,
    pub middle_s: f64,
    pub long_s: f64,
    /// An utterance is told of before its end at this many pauses at most; later ones are middle ones. It bounds the
    /// work that halting speech can make.
    pub most_pauses: usize,
    /// An utterance is at most this long; a longer one is cut where it is quietest and goes on as the next.
    pub longest_s: f64,
    /// Anything with less voice in it than this is a knock or a cough and no utterance.
    pub least_voice_s: f64,
    /// Sound kept before the speech, so that a soft first consonant is not lost.
    pub pre_roll_s: f64,
    /// Sound kept after the speech.
    pub tail_s: f64,
    /// Speech begins when this many frames of 16 ms in a row are at least `on` likely to be voice …
    pub frames_on: usize,
    pub on: f32,
    /// … and lasts while they are at least `off` likely.
    pub off: f32,
    /// Where others talk, what is softer than the loudest of whoever dictates by more than this, in dB, is they, however like a
    /// voice it is.
    pub others_db: f32,
}

impl Default for Settings {
    fn default() -> Self {
        Settings {
            begun_s: 0.25,
            short_s: 0.45,
            middle_s: 0.6,
            long_s: 0.9,
            most_pauses: 8,
            longest_s: 12.0,
            least_voice_s: 0.12,
            pre_roll_s: 0.3,
            tail_s: 0.25,
            frames_on: 3,
            on: 0.5,
            off: 0.35,
            others_db: 12.0,
        }
    }
}

impl Settings {
    /// Every pause that ends an utterance lasts the same, whatever was said.
    pub fn fixed(pause_s: f64) -> Settings {
        Settings {
            short_s: pause_s,
            middle_s: pause_s,
            long_s: pause_s,
            ..Settings::default()
        }
    }

    /// Seconds of a pause.
    pub(crate) fn seconds(&self, pause: Pause) -> f64 {
        match pause {
            Pause::Short => self.short_s,
            Pause::Middle => self.middle_s,
            Pause::Long => self.long_s,
        }
    }
}

/// How long a pause has to last to end an utterance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Pause {
    /// All has been said.
    Short,
    /// Nobody knows whether more follows.
    Middle,
    /// More is to be expected.
    Long,
}

/// What comes of the stream.
#[derive(Clone, Debug, PartialEq)]
pub enum Cut {
    /// A pause has begun: this is the utterance if the pause ends it. If speech goes on, so does the utterance.
    Pausing(Utterance),
    /// The pause has lasted long enough to be a short one: it must be said which one ends the utterance.
    Asking,
    /// An utterance has ended.
    Ended {
        utterance: Utterance,
        /// Seconds between the end of its speech and the place where that was decided; 0 if it was cut.
        pause_s: f64,
    },
}

/// A stretch of speech.
#[derive(Clone, Debug, PartialEq)]
pub struct Utterance {
    /// Where the speech begins and ends, in seconds from the start of the stream.
    pub start_s: f64,
    pub end_s: f64,
    /// The sound of it at [`super::SAMPLE_RATE`], pre-roll and tail included.
    pub samples: Vec<f32>,
}
