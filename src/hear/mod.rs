//! Sound → words.

mod capture;
pub mod devices;
mod endpoint;
mod error;
pub mod feed;
pub(crate) mod quiet;
mod resample;
mod utterance;
mod voice_detector;
pub(crate) mod wav;

pub use capture::Microphone;
pub use endpoint::Endpointer;
pub use error::SoundError;
pub use resample::{Resampler, resample};
pub use utterance::{Settings, Utterance};
pub use wav::read_wav;

/// Samples per second of everything that is heard, after resampling: what Whisper models take.
pub const SAMPLE_RATE: u32 = 16_000;
