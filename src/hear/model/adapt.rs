//! Makes an adapted model: a published one, proved by its digest, and the change that is part of the program.

use std::path::Path;

use super::add::Added;
use super::catalogue::{self, Adapted, Model};
use super::change::Change;
use super::digest::digest;
use super::{Fault, ModelError, Progress, find, folder, place};

/// The changes that are part of the program, by the name of the model that each makes.
static CHANGES: [(&str, &[u8]); 1] = [(
    "tiny.en-joints",
    include_bytes!("../../../models-readme/adapt/tiny.en-joints.safetensors"),
)];

/// The adapted models that are made of the model of this name.
pub fn made_of(base: &str) -> impl Iterator<Item = &'static Model> {
    catalogue::models()
        .iter()
        .filter(move |model| model.adapted.as_ref().is_some_and(|adapted| adapted.from == base))
}

/// The bytes of the change that makes a model, if it is an adapted one.
pub fn change_of(model: &Model) -> Option<(&'static [u8], &Adapted)> {
    let adapted = model.adapted.as_ref()?;
    let (_, change) = CHANGES.iter().find(|(name, _)| *name == model.name)?;
    Some((change, adapted))
}

/// Makes the adapted model of this name from the published one that is in the folder, and keeps it there.
///
/// # Errors
/// [`ModelError::NotAdapted`] if there is no adapted model of that name; what [`find::verify`] fails with if the model that
/// it is made of is not here or not the published one; [`ModelError::Damaged`] or [`ModelError::NotPublished`] if the change
/// or the result is not what was published; [`ModelError::File`]. The folder then holds what it held before.
pub fn adapt(folder: &Path, name: &str, progress: &mut dyn Progress) -> Result<Added, ModelError> {
    let model = catalogue::by_name(name).ok_or_else(|| ModelError::NotAdapted(name.to_string()))?;
    let (change, adapted) = change_of(model).ok_or_else(|| ModelError::NotAdapted(name.to_string()))?;
    let path = folder::file_in(folder, name)?;
    let damaged = |fault| ModelError::Damaged {
        path: path.clone(),
        fault,
    };
    let found = digest(&mut &*change, &mut ()).map_err(ModelError::file("read", &path))?;
    if found.sha256 != adapted.change_sha256 {
        return Err(damaged(Fault(format!(
            "the change that makes it has the SHA-256 {} instead of {}",
            found.sha256, adapted.change_sha256
        ))));
    }
    let change = Change::read(change).map_err(damaged)?;
    find::verify(folder, &adapted.from, progress)?;
    let base = folder::file_in(folder, &adapted.from)?;
    let mut bytes = std::fs::read(&base).map_err(ModelError::file("read", &base))?;
    let stock = digest(&mut bytes.as_slice(), &mut ()).map_err(ModelError::file("read", &base))?;
    if stock.sha256 != change.base_sha256() {
        return Err(damaged(Fault(format!(
            "the change that makes it is for another file than {}",
            base.display()
        ))));
    }
    progress.begin(&format!("adapting {}", adapted.from), bytes.len() as u64);
    change.apply(&mut bytes).map_err(damaged)?;
    let placed = place::write(folder, progress, |out| out.write_all(&bytes))?;
    progress.end();
    let digests = placed.digests.clone();
    if digests.sha256 != model.sha256 {
        return Err(ModelError::NotPublished {
            name: name.to_string(),
            path,
            difference: format!("its SHA-256 is {} instead of {}", digests.sha256, model.sha256),
        });
    }
    placed.keep(&path)?;
    Ok(Added {
        name: name.to_string(),
        path,
        digests,
        published: true,
    })
}
