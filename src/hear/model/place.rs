//! Puts a file into the models folder whole or not at all: it is written under a passing name in the same folder,
//! brought safely to disk, and only then given its own name.

use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

use tempfile::NamedTempFile;

use super::digest::{Digesting, Digests};
use super::{ModelError, Progress};

/// How the passing names begin.
const PASSING: &str = ".adding-";

/// A file that is written but has no name yet. Dropped, it is gone.
#[derive(Debug)]
pub struct Placed {
    file: NamedTempFile,
    folder: PathBuf,
    /// The digests of what was written.
    pub digests: Digests,
}

/// Writes what `fill` writes into a nameless file in the folder, which is made if it is not there.
///
/// # Errors
/// [`ModelError::File`] if the folder or the file can't be made, or `fill` or the disk fails; nothing is left behind.
pub fn write(
    folder: &Path,
    progress: &mut dyn Progress,
    fill: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> Result<Placed, ModelError> {
    std::fs::create_dir_all(folder).map_err(ModelError::file("make the models folder", folder))?;
    clear_leftovers(folder);
    let mut builder = tempfile::Builder::new();
    builder.prefix(PASSING);
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o644));
    let failed = |error| ModelError::file("write the model into", folder)(error);
    let file = builder.tempfile_in(folder).map_err(failed)?;
    let mut out = BufWriter::with_capacity(1 << 20, Digesting::new(file.as_file(), progress));
    fill(&mut out).map_err(failed)?;
    let digests = out
        .into_inner()
        .map_err(|error| failed(error.into_error()))?
        .finish();
    file.as_file().sync_all().map_err(failed)?;
    Ok(Placed {
        file,
        folder: folder.to_path_buf(),
        digests,
    })
}

impl Placed {
    /// The file, to be looked through; its position is at the start.
    ///
    /// # Errors
    /// [`ModelError::File`] if it can't be opened.
    pub fn reopen(&self) -> Result<File, ModelError> {
        self.file
            .reopen()
            .map_err(ModelError::file("read", self.file.path()))
    }

    /// Gives the file its name, in place of what may have had it.
    ///
    /// # Errors
    /// [`ModelError::File`] if the name can't be given; nothing is left behind.
    pub fn keep(self, path: &Path) -> Result<(), ModelError> {
        self.file
            .persist(path)
            .map_err(|error| ModelError::file("write", path)(error.error))?;
        // The name is in the folder, so the folder must reach the disk as well. Not every system can do it.
        #[cfg(unix)]
        File::open(&self.folder)
            .and_then(|folder| folder.sync_all())
            .map_err(ModelError::file("write the model into", &self.folder))?;
        Ok(())
    }
}

/// Removes what a program that was killed may have left, once it is too old to be still at work. Failing is no
/// harm: the next one tries again.
fn clear_leftovers(folder: &Path) {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return;
    };
    for entry in entries.flatten() {
        let modified = entry.metadata().and_then(|metadata| metadata.modified());
        let old = modified.is_ok_and(|time| {
            SystemTime::now()
                .duration_since(time)
                .is_ok_and(|age| age > Duration::from_secs(3600))
        });
        if old && entry.file_name().to_string_lossy().starts_with(PASSING) {
            // See above.
            let _ = std::fs::remove_file(entry.path());
        }
    }
}
