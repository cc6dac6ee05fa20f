//! Where the cases are.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use super::EvaluateError;

/// The folders of cases in a folder and in all folders within it, sorted by path, each once. A case is a folder that
/// holds `case.toml`; links are followed, and a loop of links is gone round once.
///
/// # Errors
/// If the folder is not there, cannot be looked into, or holds no case.
pub fn find(folder: &Path) -> Result<Vec<PathBuf>, EvaluateError> {
    if !folder.is_dir() {
        return Err(EvaluateError::NoFolder { path: folder.into() });
    }
    let (mut found, mut seen) = (Vec::new(), BTreeSet::new());
    look_into(folder, &mut seen, &mut found)?;
    found.sort();
    match found.is_empty() {
        true => Err(EvaluateError::NoCases { path: folder.into() }),
        false => Ok(found),
    }
}

fn look_into(
    folder: &Path,
    seen: &mut BTreeSet<PathBuf>,
    found: &mut Vec<PathBuf>,
) -> Result<(), EvaluateError> {
    let failed = |source| EvaluateError::Folder {
        path: folder.into(),
        source,
    };
    if !seen.insert(folder.canonicalize().map_err(failed)?) {
        return Ok(());
    }
    if folder.join(super::case::FILE).is_file() {
        found.push(folder.into());
    }
    let mut within = Vec::new();
    for entry in folder.read_dir().map_err(failed)? {
        let path = entry.map_err(failed)?.path();
        if path.is_dir() {
            within.push(path);
        }
    }
    within.sort();
    within
        .iter()
        .try_for_each(|folder| look_into(folder, seen, found))
}
