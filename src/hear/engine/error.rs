//! What can go wrong between a sound and its words.

use std::path::PathBuf;

/// Anything that stops the speech recogniser. After any of these the engine can be used again.
#[derive(Debug, thiserror::Error)]
pub enum EngineError {
    /// The recogniser was built for a newer processor than this computer has.
    #[error(
        "this computer's processor cannot do {missing}, which this copy of couchside was built to use; \
         build it again on this computer, or with GGML_NATIVE=OFF"
    )]
    Processor { missing: &'static str },
    /// There is no such file.
    #[error("there is no speech model at {}; run `make model` first", .0.display())]
    NoModel(PathBuf),
    /// The file is there but cannot be read.
    #[error("could not read the speech model {}: {source}", path.display())]
    Unreadable { path: PathBuf, source: std::io::Error },
    /// The file is not a whole Whisper model.
    #[error("the speech model {} is damaged or no Whisper model ({why}); run `make model` to get it again", path.display())]
    Damaged { path: PathBuf, why: String },
    /// The file looks right, but the recogniser would not take it.
    #[error(
        "the speech model {} could not be loaded; close other programs if memory is short, \
         or run `make model` to get it again", .0.display()
    )]
    NotLoaded(PathBuf),
    /// More than Whisper's window of 30 seconds.
    #[error(
        "{seconds:.0} seconds of speech at once is more than the 30 that can be heard; pause between findings"
    )]
    TooLong { seconds: f32 },
    /// The samples contain infinities or undefined numbers.
    #[error("the sound is damaged (sample {at} is not a number); record it again")]
    NotSound { at: usize },
    /// Scores were asked before any sound was taken in.
    #[error("no sound has been taken in yet; take in a sound before asking for its words")]
    NoSound,
    /// A token that is not one of the model's.
    #[error("the speech model has no token {0}; the words belong to another model")]
    UnknownToken(i32),
    /// More tokens than the model can hold.
    #[error(
        "a phrase of {tokens} tokens is longer than the {limit} that the speech model can hold; say it in parts"
    )]
    PhraseTooLong { tokens: usize, limit: usize },
    /// whisper.cpp gave up; `doing` completes "failed while …".
    #[error(
        "the speech recogniser failed while {doing}; say it again, and restart couchside if it happens twice"
    )]
    Failed { doing: &'static str },
}
