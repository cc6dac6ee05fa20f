//! The grammar's files: those that the program carries, or a folder given in their place.

use std::path::Path;

use include_dir::{Dir, include_dir};
use serde::de::DeserializeOwned;
use sha2::{Digest, Sha256};

use super::error::GrammarError;

static CARRIED: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/grammars");

/// The text of every grammar file, by its path within the folder.
#[derive(Clone, Debug)]
pub struct Source {
    files: Vec<(String, String)>,
}

impl Source {
    /// The files that the program was built with.
    pub fn carried() -> Source {
        let mut files = Vec::new();
        collect(&CARRIED, &mut files);
        Source::sorted(files)
    }

    /// The files of a folder on disk.
    pub fn folder(folder: &Path) -> std::io::Result<Source> {
        let mut files = Vec::new();
        read_folder(folder, folder, &mut files)?;
        Ok(Source::sorted(files))
    }

    fn sorted(mut files: Vec<(String, String)>) -> Source {
        files.retain(|(name, _)| name.ends_with(".toml"));
        files.sort();
        Source { files }
    }

    /// A short digest of everything in the files: the version of the grammar.
    pub fn version(&self) -> String {
        let mut digest = Sha256::new();
        for (name, text) in &self.files {
            for part in [name, text] {
                digest.update((part.len() as u64).to_le_bytes());
                digest.update(part);
            }
        }
        digest
            .finalize()
            .iter()
            .take(6)
            .map(|byte| format!("{byte:02x}"))
            .collect()
    }

    /// The names of the files under `folder/`.
    pub fn under(&self, folder: &str) -> Vec<String> {
        let prefix = format!("{folder}/");
        self.files
            .iter()
            .filter(|(name, _)| name.starts_with(&prefix))
            .map(|(name, _)| name.clone())
            .collect()
    }

    /// The text of a file; empty if it is not there.
    pub fn text(&self, name: &str) -> &str {
        self.files
            .iter()
            .find(|(file, _)| file == name)
            .map_or("", |(_, text)| text.as_str())
    }

    /// Reads a file into its shape.
    pub fn read<T: DeserializeOwned>(&self, name: &str) -> Result<T, GrammarError> {
        let text = self.text(name);
        if text.is_empty() {
            return Err(GrammarError::at(
                name,
                text,
                0,
                format!("the grammar file `{name}` is missing or empty"),
                "put it back; `grammars/README.md` lists the files",
            ));
        }
        toml::from_str(text).map_err(|error| {
            GrammarError::at(
                name,
                text,
                error.span().map_or(0, |span| span.start),
                error.message().replace('\n', "; "),
                "`grammars/README.md` shows how this file is laid out",
            )
        })
    }
}

fn collect(folder: &Dir<'_>, files: &mut Vec<(String, String)>) {
    for file in folder.files() {
        if let Some(text) = file.contents_utf8() {
            files.push((file.path().to_string_lossy().replace('\\', "/"), text.to_string()));
        }
    }
    for inner in folder.dirs() {
        collect(inner, files);
    }
}

fn read_folder(root: &Path, folder: &Path, files: &mut Vec<(String, String)>) -> std::io::Result<()> {
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            read_folder(root, &path, files)?;
        } else if path.extension().is_some_and(|extension| extension == "toml") {
            let name = path
                .strip_prefix(root)
                .unwrap_or(&path)
                .to_string_lossy()
                .replace('\\', "/");
            files.push((name, std::fs::read_to_string(&path)?));
        }
    }
    Ok(())
}
