//! Sound → words.

pub mod model;

/// Samples per second of everything that is heard, after resampling: what Whisper models take.
pub const SAMPLE_RATE: u32 = 16_000;
