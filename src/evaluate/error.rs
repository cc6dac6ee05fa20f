//! What can go wrong with a folder of cases, in words.

use std::path::PathBuf;

/// Why cases could not be evaluated.
#[derive(Debug, thiserror::Error)]
pub enum EvaluateError {
    #[error("there is no folder {}; check its name", path.display())]
    NoFolder { path: PathBuf },
    #[error(
        "there are no cases in {}; a case is a folder with speech.wav and case.toml in it",
        path.display()
    )]
    NoCases { path: PathBuf },
    #[error(
        "{} says nothing of these cases; a line of it names one of them as its case.toml does, in `id`",
        path.display()
    )]
    NoTranscripts { path: PathBuf },
    #[error("could not look into {}: {source}; check that you may read it", path.display())]
    Folder { path: PathBuf, source: std::io::Error },
    #[error("could not read {}: {source}; check that you may read it", path.display())]
    Read { path: PathBuf, source: std::io::Error },
    /// `why` ends with what to do.
    #[error("{} line {line}: {why}", path.display())]
    CaseFile { path: PathBuf, line: usize, why: String },
    #[error(
        "{unread} of {cases} cases could not be read or heard; the report leaves them out: mend them and run again"
    )]
    Unread { unread: usize, cases: usize },
    #[error("stopped with Ctrl-C; the report covers {heard} of {cases} cases only")]
    Stopped { heard: usize, cases: usize },
}
