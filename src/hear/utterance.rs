//! What an utterance is, and how the stream is cut into utterances.

/// How the cuts are made. Times are in seconds.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// A pause this long ends an utterance.
    pub pause_s: f64,
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
}

impl Default for Settings {
    fn default() -> Self {
        Settings {
            pause_s: 0.6,
            longest_s: 12.0,
            least_voice_s: 0.12,
            pre_roll_s: 0.3,
            tail_s: 0.2,
            frames_on: 3,
            on: 0.5,
            off: 0.35,
        }
    }
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
