//! A text file of the therapist's own in the folder of the record: read with its slips named, written whole or not at all.

use std::fs::DirBuilder;
use std::io::Write;
use std::os::unix::fs::DirBuilderExt;
use std::path::{Path, PathBuf};

use serde::Serialize;
use serde::de::DeserializeOwned;

/// The file can't be used; `what` says what stands in it.
#[derive(Debug, thiserror::Error)]
pub enum OwnFileError {
    /// It is there but can't be read or written.
    #[error(
        "{what}, in {}, can't be {doing}: {source}\n\
         Look at the folder's permissions and the free space, or move the file away to go on without it",
        path.display()
    )]
    File {
        what: &'static str,
        path: PathBuf,
        doing: &'static str,
        source: std::io::Error,
    },
    /// There is a slip in it.
    #[error(
        "{what} can't be used: {}:{line}: {why}\n\
         Correct that line, or move the file away to go on without it",
        path.display()
    )]
    Slip {
        what: &'static str,
        path: PathBuf,
        line: usize,
        why: String,
    },
}

/// Makes the folder `home` if need be, for its owner alone.
///
/// # Errors
/// It can't be made.
pub fn make_folder(home: &Path) -> std::io::Result<()> {
    DirBuilder::new().recursive(true).mode(0o700).create(home)
}

/// Reads a TOML file; what is usual if there is none.
///
/// # Errors
/// The file can't be read, or there is a slip in it.
pub fn read<T: DeserializeOwned + Default>(path: &Path, what: &'static str) -> Result<T, OwnFileError> {
    let path = path.to_path_buf();
    let text = match std::fs::read_to_string(&path) {
        Ok(text) => text,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(T::default()),
        Err(source) => {
            return Err(OwnFileError::File {
                what,
                path,
                doing: "read",
                source,
            });
        }
    };
    toml::from_str(&text).map_err(|error| OwnFileError::Slip {
        what,
        line: text[..error.span().map_or(0, |span| span.start.min(text.len()))]
            .matches('\n')
            .count()
            + 1,
        why: error.message().replace('\n', "; "),
        path,
    })
}

/// Writes it, whole or not at all, with `head` before it: what somebody who opens it should know.
///
/// # Errors
/// The file can't be written; it is as it was.
pub fn write(
    path: &Path,
    what: &'static str,
    head: &str,
    value: &impl Serialize,
) -> Result<(), OwnFileError> {
    let write = || -> std::io::Result<()> {
        let folder = path.parent().unwrap_or(Path::new("."));
        let text = toml::to_string_pretty(value).map_err(std::io::Error::other)?;
        let mut making = tempfile::Builder::new().prefix(".making-").tempfile_in(folder)?;
        making.write_all(head.as_bytes())?;
        making.write_all(text.as_bytes())?;
        making.as_file().sync_all()?;
        making.persist(path)?;
        Ok(())
    };
    write().map_err(|source| OwnFileError::File {
        what,
        path: path.into(),
        doing: "written",
        source,
    })
}
