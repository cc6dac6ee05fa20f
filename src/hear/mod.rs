//! Sound → words.

mod aliases;
pub mod by_sound;
mod capture;
mod closing;
mod decoder;
pub mod devices;
mod double_talk;
mod ear;
mod echo;
mod endpoint;
pub mod engine;
mod error;
pub mod feed;
mod level;
pub mod model;
mod prose;
pub(crate) mod quiet;
mod recogniser;
mod resample;
pub mod search;
mod utterance;
mod voice_detector;
pub(crate) mod wav;
pub mod word_errors;

pub use aliases::Aliases;
pub use by_sound::ByEar;
pub use capture::Microphone;
pub use closing::OpenStream;
pub use decoder::Decoder;
pub use ear::Ear;
pub use endpoint::Endpointer;
pub use error::SoundError;
pub use level::{Level, LevelFault};
pub use recogniser::{Heard, Recogniser, model_name};
pub use resample::{Resampler, resample};
pub use utterance::{Cut, Pause, Settings, Utterance};
pub use wav::{read_wav, write_wav};

/// Samples per second of everything that is heard, after resampling: what Whisper models take.
pub const SAMPLE_RATE: u32 = 16_000;
