//! The grammar's files: those that the program carries, or a folder given in their place.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::path::Path;

use include_dir::{Dir, include_dir};
use serde::de::DeserializeOwned;
use sha2::{Digest, Sha256};

use super::error::GrammarError;
use super::own_words;

static CARRIED: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/grammars");

/// The text of every grammar file, by its path within the folder.
#[derive(Clone, Debug)]
pub struct Source {
    files: Vec<(String, String)>,
    /// Where the therapist's own words come from, for messages.
    own_words: Option<String>,
    /// What the therapist says before each dictation.
    cue: Option<String>,
    /// The files that were asked for: one that never is does nothing.
    asked: RefCell<BTreeSet<String>>,
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

    /// Files held in memory, by their path within the folder.
    pub fn texts(files: impl IntoIterator<Item = (String, String)>) -> Source {
        Source::sorted(files.into_iter().collect())
    }

    fn sorted(mut files: Vec<(String, String)>) -> Source {
        files.retain(|(name, _)| name.ends_with(".toml"));
        files.sort();
        Source {
            files,
            own_words: None,
            cue: None,
            asked: RefCell::default(),
        }
    }

    /// The same files and a therapist's own words, which were read from `place`.
    pub fn with_own_words(mut self, text: String, place: &Path) -> Source {
        self.files.push((own_words::FILE.to_string(), text));
        self.own_words = Some(place.to_string_lossy().into_owned());
        self
    }

    /// The same files, and a word of the therapist's choice that may stand before dictation: see [`super::cue`].
    #[must_use]
    pub fn with_cue(self, words: &str) -> Source {
        Source {
            cue: Some(words.to_lowercase()),
            ..self
        }
    }

    /// What may stand before dictation.
    pub fn cue(&self) -> Option<&str> {
        self.cue.as_deref()
    }

    /// How messages call a file: the therapist's own words by their place on the disk.
    pub fn shown<'a>(&'a self, name: &'a str) -> &'a str {
        match &self.own_words {
            Some(place) if name == own_words::FILE => place,
            _ => name,
        }
    }

    /// The names of all files.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.files.iter().map(|(name, _)| name.as_str())
    }

    /// The files that nothing has asked for yet.
    pub fn unread(&self) -> Vec<String> {
        let asked = self.asked.borrow();
        let unread = self.names().filter(|name| !asked.contains(*name));
        unread.map(str::to_string).collect()
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

    /// The therapist's own words; none without the file.
    pub fn own_words(&self) -> Result<own_words::OwnWords, GrammarError> {
        self.asked.borrow_mut().insert(own_words::FILE.to_string());
        own_words::parse(self.text(own_words::FILE), self.shown(own_words::FILE))
    }

    /// Reads a file into its shape.
    pub fn read<T: DeserializeOwned>(&self, name: &str) -> Result<T, GrammarError> {
        let text = self.text(name);
        self.asked.borrow_mut().insert(name.to_string());
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
