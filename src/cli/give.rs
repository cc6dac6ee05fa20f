//! Files for other people and programs: written whole or not at all, and never without its standing in the history.

use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};

use clap::Args;

use crate::error::{Error, Result};
use crate::record::{Record, RecordError};

/// What of a client is given.
#[derive(Args)]
pub struct Of {
    /// The client's code
    #[arg(long, value_name = "CODE")]
    pub client: String,
    /// The visit's number, as `couchside visit list` shows it; the latest with findings if you leave it out
    #[arg(long, value_name = "N")]
    pub visit: Option<i64>,
    /// Where it is written; a file that is there is not overwritten
    #[arg(long, value_name = "FILE")]
    pub output: PathBuf,
    /// With name, year of birth and sex of the client instead of the code alone
    #[arg(long)]
    pub with_name: bool,
}

impl Of {
    /// How the client is called in it, to be told.
    pub fn called(&self) -> &'static str {
        match self.with_name {
            true => ", with the name",
            false => ", under the code alone",
        }
    }
}

/// Writes a file that is not there yet, for its owner alone. `note` writes down that it was given, before the file takes its name: what is
/// there stands in the history, even if the disk fills up meanwhile.
///
/// # Errors
/// The file is there or can't be written, or what `write` and `note` say. Then there is no file.
pub fn give(
    record: &mut Record,
    path: &Path,
    write: impl FnOnce(&Record, &mut File) -> Result<()>,
    note: impl FnOnce(&mut Record) -> std::result::Result<(), RecordError>,
) -> Result<()> {
    let failed = |source| not_written(path, source);
    if path.exists() {
        return Err(failed(io::ErrorKind::AlreadyExists.into()));
    }
    let folder = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let mut making = tempfile::Builder::new()
        .prefix(".making-")
        .tempfile_in(folder)
        .map_err(failed)?;
    write(record, making.as_file_mut())?;
    making.as_file().sync_all().map_err(failed)?;
    note(record)?;
    making
        .persist_noclobber(path)
        .map_err(|error| failed(error.error))?;
    Ok(())
}

/// Why a file is not there.
pub fn not_written(path: &Path, source: io::Error) -> Error {
    Error::File {
        doing: format!("write {}; name a file that is not there yet", path.display()),
        source,
    }
}
