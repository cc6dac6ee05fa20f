//! Sound → words.

/// Samples per second of everything that is heard, after resampling: what Whisper models take.
pub const SAMPLE_RATE: u32 = 16_000;

pub mod engine;
pub mod word_errors;
