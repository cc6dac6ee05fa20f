//! Where the record lives.

use std::path::PathBuf;

use super::RecordError;

/// The folder of the record and the settings: `COUCHSIDE_HOME`, or else couchside's folder among the user's
/// data.
///
/// # Errors
/// The system names no such folder and neither does `COUCHSIDE_HOME`.
pub fn home() -> Result<PathBuf, RecordError> {
    match std::env::var_os("COUCHSIDE_HOME") {
        Some(home) if !home.is_empty() => Ok(home.into()),
        _ => directories::ProjectDirs::from("", "", "couchside")
            .map(|dirs| dirs.data_dir().to_owned())
            .ok_or(RecordError::NoHome),
    }
}
