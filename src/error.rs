//! The error that every command can end with, and its exit code.
//!
//! Each stage has an error type of its own; a message says what went wrong, where, and what to do next, in a
//! therapist's words. It never contains a client's data.

/// Anything that can stop a command.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// A grammar file is broken.
    #[error("the grammar can't be used: {0}")]
    Grammar(#[from] crate::grammar::GrammarError),
    /// The therapist's own words can't be used.
    #[error(transparent)]
    Words(#[from] crate::grammar::own_words::WordsError),
    /// Something was looked at and is not as it should be.
    #[error("{0}")]
    Failed(String),
    /// Reading or writing a file failed; `doing` completes "could not …".
    #[error("could not {doing}: {source}")]
    File { doing: String, source: std::io::Error },
    /// The speech model could not be loaded or used.
    #[error(transparent)]
    Engine(#[from] crate::hear::engine::EngineError),
    /// The words of the command do not fit together.
    #[error("{0}")]
    Usage(String),
    /// A file of the therapist's own can't be used.
    #[error(transparent)]
    OwnFile(#[from] crate::own_file::OwnFileError),
    /// A sound could not be taken in.
    #[error(transparent)]
    Sound(#[from] crate::hear::SoundError),
    /// A speech model is missing, damaged or not the published one.
    #[error(transparent)]
    Model(#[from] crate::hear::model::ModelError),
    /// A folder of cases is not in order, or not all of it could be heard.
    #[error(transparent)]
    Evaluate(#[from] crate::evaluate::EvaluateError),
    /// The record could not be made, opened or written.
    #[error(transparent)]
    Record(#[from] crate::record::RecordError),
}

impl Error {
    /// 1: it could not be done; 2: the words of the command are off.
    pub fn exit_code(&self) -> u8 {
        match self {
            Error::Usage(_) => 2,
            _ => 1,
        }
    }
}

/// The result that every fallible function above the stages returns.
pub type Result<T> = std::result::Result<T, Error>;
