//! Finds a model in the folder, and says whether it is whole (quickly) or the published one (thoroughly).

use std::fs::File;
use std::path::{Path, PathBuf};

use super::catalogue::{self, Model};
use super::digest::{Digests, digest};
use super::folder::{file_in, models_folder};
use super::{ModelError, Progress, ggml_check};

/// The file of a model, ready to be loaded: the one of that name, or the default one. Its form and its size are
/// checked, which takes a few milliseconds; its values are not.
///
/// # Errors
/// [`ModelError::Missing`] if it is not there, [`ModelError::Damaged`] or [`ModelError::NotPublished`] if it is not
/// whole, and what [`models_folder`] and [`file_in`] fail with.
pub fn path_of(name: Option<&str>) -> Result<PathBuf, ModelError> {
    path_in(&models_folder()?, name)
}

/// [`path_of`] in a given folder.
pub fn path_in(folder: &Path, name: Option<&str>) -> Result<PathBuf, ModelError> {
    let name = name.unwrap_or(&catalogue::default_model().name);
    let path = file_in(folder, name)?;
    open_whole(folder, name, &path)?;
    Ok(path)
}

/// Reads the whole file of a model and compares it with what was published. A model that was added as unknown has
/// nothing to be compared with, only its form is checked; then no published model is returned.
///
/// # Errors
/// As [`path_of`]; [`ModelError::NotPublished`] also if the digests differ.
pub fn verify(
    folder: &Path,
    name: &str,
    progress: &mut dyn Progress,
) -> Result<(Digests, Option<&'static Model>), ModelError> {
    let path = file_in(folder, name)?;
    let (mut file, length) = open_whole(folder, name, &path)?;
    progress.begin(&format!("checking {name}"), length);
    let found = digest(&mut file, progress).map_err(ModelError::file("read", &path))?;
    progress.end();
    let model = catalogue::by_name(name);
    for (what, found, published) in model.into_iter().flat_map(|model| {
        [
            ("SHA-1", &found.sha1, &model.sha1),
            ("SHA-256", &found.sha256, &model.sha256),
        ]
    }) {
        if found != published {
            let difference = format!("its {what} is {found} instead of {published}");
            return Err(ModelError::NotPublished {
                name: name.to_string(),
                path,
                difference,
            });
        }
    }
    Ok((found, model))
}

/// Opens a model whose form and size are right, and returns the file at its start and the size.
fn open_whole(folder: &Path, name: &str, path: &Path) -> Result<(File, u64), ModelError> {
    let open = || {
        File::open(path).map_err(|error| match error.kind() {
            std::io::ErrorKind::NotFound => ModelError::Missing {
                name: name.to_string(),
                folder: folder.to_path_buf(),
            },
            _ => ModelError::file("open", path)(error),
        })
    };
    let length = open()?.metadata().map_err(ModelError::file("open", path))?.len();
    ggml_check::check(open()?, length).map_err(|fault| ModelError::Damaged {
        path: path.to_path_buf(),
        fault,
    })?;
    match catalogue::by_name(name) {
        Some(model) if model.bytes != length => Err(ModelError::NotPublished {
            name: name.to_string(),
            path: path.to_path_buf(),
            difference: format!("it has {length} bytes instead of {}", model.bytes),
        }),
        _ => Ok((open()?, length)),
    }
}
