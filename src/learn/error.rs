//! What can go wrong with what was learnt.

use std::path::PathBuf;

/// The file of what was learnt can't be used.
#[derive(Debug, thiserror::Error)]
pub enum LearnError {
    /// It is there but can't be read or written.
    #[error(
        "what was learnt from your corrections, in {}, can't be {doing}: {source}\n\
         Look at the folder's permissions and the free space, or move the file away to go on without it",
        path.display()
    )]
    File {
        path: PathBuf,
        doing: &'static str,
        source: std::io::Error,
    },
    /// There is a slip in it.
    #[error(
        "what was learnt from your corrections can't be used: {}:{line}: {why}\n\
         Correct that line, or move the file away to go on without it",
        path.display()
    )]
    Slip { path: PathBuf, line: usize, why: String },
}
