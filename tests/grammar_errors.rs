//! Broken grammar files: each folder of `tests/errors` holds the file that replaces one of `grammars/`, and the exact
//! message that it leads to.

use std::fs;
use std::path::{Path, PathBuf};

use couchside::grammar::{Grammar, Source};

pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every file under a folder.
fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    entries
        .flat_map(|path| if path.is_dir() { files(&path) } else { vec![path] })
        .collect()
}

pub fn copy(from: &Path, to: &Path) {
    for file in files(from)
        .iter()
        .filter(|file| file.extension().is_some_and(|end| end == "toml"))
    {
        let target = to.join(file.strip_prefix(from).unwrap());
        fs::create_dir_all(target.parent().unwrap()).unwrap();
        fs::copy(file, target).unwrap();
    }
}

/// The folders of broken files that hold this file, in order.
pub fn folders(holding: &str) -> Vec<PathBuf> {
    let mut folders: Vec<PathBuf> = fs::read_dir(root().join("tests/errors"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|folder| folder.join(holding).exists())
        .collect();
    folders.sort();
    folders
}

fn load(folder: &Path) -> Result<Grammar, String> {
    Grammar::load(&Source::folder(folder).unwrap()).map_err(|error| error.to_string())
}

#[test]
fn every_broken_file_leads_to_its_message() {
    let folders = folders("expected.txt");
    assert!(folders.len() >= 25, "{} folders", folders.len());
    for folder in folders {
        let grammars = tempfile::tempdir().unwrap();
        copy(&root().join("grammars"), grammars.path());
        copy(&folder, grammars.path());
        let message = load(grammars.path())
            .err()
            .unwrap_or_else(|| panic!("{}: no error", folder.display()));
        let expected = fs::read_to_string(folder.join("expected.txt")).unwrap();
        assert_eq!(message, expected.trim_end_matches('\n'), "{}", folder.display());
    }
}

#[test]
fn the_carried_grammar_is_the_folder() {
    let folder = Source::folder(&root().join("grammars")).unwrap();
    assert_eq!(Source::carried().version(), folder.version());
}

#[test]
fn a_missing_file_is_named() {
    let grammars = tempfile::tempdir().unwrap();
    copy(&root().join("grammars"), grammars.path());
    fs::remove_file(grammars.path().join("talk.toml")).unwrap();
    let message = load(grammars.path()).err().unwrap();
    assert!(
        message.starts_with("the grammar file `talk.toml` is missing or empty\n"),
        "{message}"
    );
}
