//! What the fuzz targets share: a grammar small enough to be built some twenty times a second, and what must hold of any.

use std::path::Path;
use std::sync::Arc;

use couchside::grammar::phrase_state::States;
use couchside::grammar::{Grammar, Source};
use couchside::interpret::Interpreter;
use toml::{Table, Value};

/// Entries that are kept of each list of entries.
const KEPT: usize = 3;
/// Of each folder one file is kept.
const FOLDERS: [(&str, &str); 3] = [
    ("joints/", "joints/knee.toml"),
    ("muscles/", "muscles/knee.toml"),
    ("tests/", "tests/knee.toml"),
];
/// Read by words of each kind.
const SENTENCE: &str = "right knee flexion passive one twenty firm end feel pain six out of ten";

/// The files that the program carries, with few entries each.
pub fn small() -> Vec<(String, String)> {
    let carried = Source::carried();
    let names: Vec<String> = carried.names().map(str::to_string).collect();
    let kept = |name: &&String| {
        !name.starts_with("examples")
            && FOLDERS
                .iter()
                .all(|(folder, only)| !name.starts_with(folder) || name == only)
    };
    names
        .iter()
        .filter(kept)
        .map(|name| {
            let mut file: Table = toml::from_str(carried.text(name)).expect("a carried file is TOML");
            shorten(&mut file);
            (name.clone(), toml::to_string(&file).expect("it is TOML still"))
        })
        .collect()
}

fn shorten(file: &mut Table) {
    for key in ["value", "muscle", "test", "movement"] {
        if let Some(Value::Array(entries)) = file.get_mut(key) {
            entries.truncate(KEPT);
            for entry in entries {
                // The signs that they name are no longer there.
                entry.as_table_mut().map(|entry| entry.remove("tricks"));
            }
        }
    }
}

/// Loads the files: a grammar that can be used, or a fault that says where it is and what to do.
pub fn load(source: &Source) {
    match Grammar::load(source) {
        Ok(grammar) => {
            let grammar = Arc::new(grammar);
            walk(&grammar);
            Interpreter::new(grammar.clone()).read(SENTENCE);
        }
        Err(fault) => {
            let told = fault.to_string();
            let place = format!("--> {}:", source.shown(fault.file()));
            assert!(
                told.contains(&place) && told.contains("\n") && told.contains(" = "),
                "{told}"
            );
        }
    }
}

/// Goes on by the first word that may follow, as the search does.
fn walk(grammar: &Arc<Grammar>) {
    let mut states = States::new(grammar.clone());
    let mut state = States::START;
    for _ in 0..20 {
        let shape = states.shape(state);
        let Some(&word) = states.words(shape).first() else {
            return;
        };
        match states.step(state, word) {
            Some((next, _)) => state = next,
            None => return,
        }
    }
}

/// The same files with a therapist's own words.
pub fn with_own_words(files: &[(String, String)], words: &str) -> Source {
    Source::texts(files.to_vec()).with_own_words(words.to_string(), Path::new("words.toml"))
}
