//! Adds a model to the folder: opens it, converts it if need be, and keeps it only if it is a published one.

use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};

use super::catalogue::{self, Model};
use super::ct2::Weights;
use super::digest::Digests;
use super::ggml_write::Conversion;
use super::place::Placed;
use super::source::Source;
use super::{ModelError, Progress, folder, ggml_check, place, source};

/// What to add, and how sure one must be of it.
#[derive(Clone, Copy, Debug)]
pub struct Request<'a> {
    /// One ggml file, one CTranslate2 folder, or the wheels of one model.
    pub sources: &'a [PathBuf],
    /// The name to keep it under; a published model has its own.
    pub name: Option<&'a str>,
    /// Whether a model may be added that nobody has published the digest of.
    pub allow_unknown: bool,
}

/// What was added.
#[derive(Clone, Debug)]
pub struct Added {
    pub name: String,
    pub path: PathBuf,
    pub digests: Digests,
    /// Whether it is a published model.
    pub published: bool,
}

/// Adds a model to the folder, in place of one of the same name.
///
/// # Errors
/// Any [`ModelError`]; then the folder holds what it held before.
pub fn add(folder: &Path, request: Request, progress: &mut dyn Progress) -> Result<Added, ModelError> {
    if let Some(name) = request.name {
        folder::file_in(folder, name)?;
    }
    let placed = match source::open(request.sources, progress)? {
        Source::Ggml(path) => copy(folder, &path, progress)?,
        Source::Ct2(path, gathered) => {
            let damaged = |fault| ModelError::Damaged {
                path: path.clone(),
                fault,
            };
            let weights = Weights::read(&gathered.weights).map_err(damaged)?;
            let conversion = Conversion::new(&weights, &gathered.tokens).map_err(damaged)?;
            progress.begin("converting", conversion.bytes());
            place::write(folder, progress, |out| conversion.write(out))?
        }
    };
    progress.end();
    let name = name_for(request, &placed.digests)?;
    let path = folder::file_in(folder, name)?;
    ggml_check::check(placed.reopen()?, placed.digests.bytes).map_err(|fault| ModelError::Damaged {
        path: request.sources[0].clone(),
        fault,
    })?;
    let digests = placed.digests.clone();
    placed.keep(&path)?;
    Ok(Added {
        name: name.to_string(),
        path,
        published: published(&digests).is_some(),
        digests,
    })
}

/// Checks a ggml file and copies it.
fn copy(folder: &Path, path: &Path, progress: &mut dyn Progress) -> Result<Placed, ModelError> {
    let open = || File::open(path).map_err(ModelError::file("open", path));
    let length = open()?.metadata().map_err(ModelError::file("open", path))?.len();
    ggml_check::check(open()?, length).map_err(|fault| ModelError::Damaged {
        path: path.to_path_buf(),
        fault,
    })?;
    progress.begin("copying", length);
    let mut file = open()?;
    place::write(folder, progress, |out| io::copy(&mut file, out).map(drop))
}

/// The published model with these digests.
pub fn published(digests: &Digests) -> Option<&'static Model> {
    catalogue::models()
        .iter()
        .find(|model| model.sha1 == digests.sha1 && model.sha256 == digests.sha256)
}

fn name_for<'a>(request: Request<'a>, digests: &Digests) -> Result<&'a str, ModelError> {
    match (published(digests), request.name) {
        (Some(model), Some(asked)) if asked != model.name => Err(ModelError::Misnamed {
            is: model.name.clone(),
            asked: asked.to_string(),
        }),
        (Some(model), _) => Ok(&model.name),
        (None, _) if !request.allow_unknown => Err(ModelError::Unknown {
            sha1: digests.sha1.clone(),
        }),
        (None, Some(asked)) if catalogue::by_name(asked).is_none() => Ok(asked),
        (None, _) => {
            let names: Vec<&str> = catalogue::models()
                .iter()
                .map(|model| model.name.as_str())
                .collect();
            Err(ModelError::NeedsName {
                taken: names.join(" or "),
            })
        }
    }
}
