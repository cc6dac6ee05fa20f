//! What must hold for the files of the repository themselves.

mod documents;
mod words;

use std::fs;
use std::path::Path;

use regex::Regex;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every file of the repository that is text, with its path from the root; what git ignores is left out.
fn texts() -> Vec<(String, String)> {
    let ignored = ["target", ".git", ".cache", ".tools", "__pycache__"];
    let mut folders = vec![root().to_path_buf()];
    let mut found = Vec::new();
    while let Some(folder) = folders.pop() {
        for path in fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()) {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            if ignored.contains(&name.as_str()) || path.is_symlink() {
                continue;
            } else if path.is_dir() {
                folders.push(path);
            } else if let Ok(text) = fs::read_to_string(&path) {
                found.push((
                    path.strip_prefix(root()).unwrap().to_string_lossy().into_owned(),
                    text,
                ));
            }
        }
    }
    found.sort();
    found
}

fn under(folder: &str, end: &str) -> Vec<(String, String)> {
    texts()
        .into_iter()
        .filter(|(name, _)| name.starts_with(folder) && name.ends_with(end))
        .collect()
}

#[test]
fn no_file_names_a_place_on_somebodys_machine() {
    // Put together, so that this file does not name one itself.
    let places = ["home", "Users", "root", "work", "mnt"].map(|folder| format!("/{folder}/"));
    let start = Regex::new(&format!(r#"(?:^|[\s"'`(=:])(?:{})"#, places.join("|"))).unwrap();
    let mut found = Vec::new();
    for (name, text) in texts() {
        let lines = text.lines().enumerate().filter(|(_, line)| start.is_match(line));
        found.extend(lines.map(|(number, line)| format!("{name}:{}: {line}", number + 1)));
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn every_grammar_file_is_in_the_readme_of_the_grammars() {
    let readme = fs::read_to_string(root().join("grammars/README.md")).unwrap();
    for (name, _) in under("grammars", ".toml") {
        // A file of many is in its folder's row.
        let within = name.trim_start_matches("grammars/");
        let named = match within.split_once('/') {
            Some((folder, _)) => format!("`{folder}/`"),
            None => format!("`{within}`"),
        };
        assert!(
            readme.contains(&named),
            "grammars/README.md does not say what {named} holds"
        );
    }
}
