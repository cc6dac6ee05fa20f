//! The folder that models lie in, and their file names there.

use std::path::{Path, PathBuf};

use super::{ModelError, catalogue};

/// The models folder: what COUCHSIDE_MODELS names, else `couchside/models` in the user's data folder. It is not
/// moved by COUCHSIDE_HOME: models are the same for every record, and large.
///
/// # Errors
/// [`ModelError::NoFolder`] if the variable is not set and the user has no home folder.
pub fn models_folder() -> Result<PathBuf, ModelError> {
    if let Some(folder) = std::env::var_os("COUCHSIDE_MODELS").filter(|value| !value.is_empty()) {
        return Ok(PathBuf::from(folder));
    }
    let user = directories::ProjectDirs::from("", "", "couchside").ok_or(ModelError::NoFolder)?;
    Ok(user.data_dir().join("models"))
}

/// The file that a model of this name is kept in.
///
/// # Errors
/// [`ModelError::Name`] if the name could lead out of the folder or is no sensible file name.
pub fn file_in(folder: &Path, name: &str) -> Result<PathBuf, ModelError> {
    if let Some(model) = catalogue::by_name(name) {
        return Ok(folder.join(&model.file));
    }
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_');
    if name.is_empty()
        || name.len() > 40
        || !name.chars().all(plain)
        || !name.starts_with(|c: char| c.is_ascii_alphanumeric())
    {
        return Err(ModelError::Name(name.to_string()));
    }
    Ok(folder.join(format!("ggml-{name}.bin")))
}

/// The names of the models in the folder, published ones first. A folder that is not there holds none.
///
/// # Errors
/// [`ModelError::File`] if the folder can't be read.
pub fn names_in(folder: &Path) -> Result<Vec<String>, ModelError> {
    let entries = match std::fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => return Err(ModelError::file("look into", folder)(error)),
    };
    let mut names = Vec::new();
    for entry in entries {
        let entry = entry.map_err(ModelError::file("look into", folder))?;
        let file_name = entry.file_name();
        let name = file_name
            .to_str()
            .and_then(|name| name.strip_prefix("ggml-")?.strip_suffix(".bin"));
        names.extend(
            name.filter(|name| file_in(folder, name).is_ok())
                .map(str::to_string),
        );
    }
    let rank = |name: &String| {
        catalogue::models()
            .iter()
            .position(|model| model.name == *name)
            .unwrap_or(usize::MAX)
    };
    names.sort_by(|a, b| rank(a).cmp(&rank(b)).then_with(|| a.cmp(b)));
    Ok(names)
}
