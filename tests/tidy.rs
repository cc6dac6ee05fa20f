//! What must hold for the files of the repository themselves.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use regex::Regex;
use serde_json::Value;

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

/// The texts in quotes of a Rust file, without its comments and its unit tests.
fn quoted(source: &str) -> Vec<String> {
    let code = source.split("#[cfg(test)]").next().unwrap_or_default();
    let tokens = Regex::new(r#"(?s)//[^\n]*|/\*.*?\*/|'(?:\\.|[^\\'])'|"((?:\\.|[^"\\])*)""#).unwrap();
    tokens
        .captures_iter(code)
        .filter_map(|found| Some(found.get(1)?.as_str().to_string()))
        .collect()
}

/// The names of values and the wordings of the grammar's trade words.
fn trade_words() -> (BTreeSet<String>, BTreeSet<String>) {
    let (mut whole, mut joints) = (BTreeSet::new(), BTreeSet::new());
    let lists = [
        "sides",
        "modes",
        "end-feels",
        "ranges",
        "powers",
        "signs",
        "controls",
    ];
    for (name, text) in under("grammars", ".toml") {
        let file: Value = toml::from_str(&text).unwrap();
        let stem = Path::new(&name)
            .file_stem()
            .unwrap()
            .to_string_lossy()
            .into_owned();
        let mut entries: Vec<&Value> = Vec::new();
        if lists.contains(&stem.as_str()) {
            entries.extend(file["value"].as_array().unwrap());
        } else if stem == "pain" {
            let when = file["list"]
                .as_array()
                .unwrap()
                .iter()
                .find(|list| list["slot"] == "pain when");
            entries.extend(when.unwrap()["value"].as_array().unwrap());
        } else if name.starts_with("grammars/joints") {
            entries.extend(file["movement"].as_array().unwrap());
            let names = entries.iter().map(|entry| &entry["is"]).chain([&file["joint"]]);
            joints.extend(
                names
                    .flat_map(|name| name.as_str().unwrap().split(' '))
                    .map(str::to_string),
            );
        }
        for entry in entries {
            let said = entry["said"].as_array().unwrap().iter().chain([&entry["is"]]);
            whole.extend(
                said.map(|word| word.as_str().unwrap().to_lowercase())
                    .filter(|word| word.len() > 3),
            );
        }
    }
    (whole, joints)
}

/// The same letters, another meaning.
const OTHER_MEANING: [(&str, &str); 4] = [
    ("src/record/", "confirmed"),   // an act of the record
    ("src/record/file.rs", "full"), // a setting of SQLite
    ("src/review/", "left"),        // headings of the table: a side's published name
    ("src/review/", "right"),
];

/// The trade's words are data. `src/finding.rs` alone may name what the published JSON names.
#[test]
fn no_word_of_the_trade_is_written_in_rust() {
    let (whole, joints) = trade_words();
    assert!(
        whole.len() > 150 && joints.contains("hip"),
        "{} words",
        whole.len()
    );
    let word = Regex::new("[a-z]+").unwrap();
    let mut found = Vec::new();
    for (name, text) in under("src", ".rs")
        .iter()
        .filter(|(name, _)| name != "src/finding.rs")
    {
        for literal in quoted(text) {
            let literal = literal.to_lowercase();
            let names_a_joint = word
                .find_iter(&literal)
                .any(|word| joints.contains(word.as_str()));
            let other = OTHER_MEANING
                .iter()
                .any(|(place, word)| name.starts_with(place) && literal == *word);
            if (whole.contains(&literal) && !other) || names_a_joint {
                found.push(format!("{name}: \"{literal}\""));
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
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
        let named = format!("`{}`", name.trim_start_matches("grammars/"));
        assert!(
            readme.contains(&named),
            "grammars/README.md does not say what {named} holds"
        );
    }
}

/// What is set as code in a Markdown text: in line, and in blocks.
fn code(text: &str) -> Vec<String> {
    let spans = Regex::new("`([^`\\n]+)`").unwrap();
    let mut code: Vec<String> = spans
        .captures_iter(text)
        .map(|span| span[1].to_string())
        .collect();
    code.extend(
        text.lines()
            .filter_map(|line| line.strip_prefix("    "))
            .map(str::to_string),
    );
    code
}

#[test]
fn every_path_that_the_documents_name_is_there() {
    let top: BTreeSet<String> = fs::read_dir(root())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into())
        .collect();
    let link = Regex::new(r"\]\(([^)#:]+)(?:#[^)]*)?\)").unwrap();
    let mut missing = Vec::new();
    let mut checked = 0;
    for (name, text) in under("", ".md") {
        let here = root().join(&name).parent().unwrap().to_path_buf();
        let mut named: Vec<PathBuf> = link
            .captures_iter(&text)
            .map(|link| here.join(&link[1]))
            .collect();
        for span in code(&text) {
            let path = span.trim_end_matches('/');
            let first = path.split('/').next().unwrap_or_default();
            let is_path = path.contains('/') && top.contains(first) && !path.contains([' ', '*', '<', '…']);
            if is_path && !["target", ".cache", ".tools"].contains(&first) {
                named.push(root().join(path));
            }
        }
        checked += named.len();
        missing.extend(
            named
                .into_iter()
                .filter(|path| !path.exists())
                .map(|path| format!("{name}: {path:?}")),
        );
    }
    assert!(checked > 50, "{checked} paths");
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}

#[test]
fn every_command_that_the_documents_name_is_there() {
    let help = |words: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_couchside"))
            .args(words)
            .arg("--help")
            .output()
            .unwrap();
        output
            .status
            .success()
            .then(|| String::from_utf8(output.stdout).unwrap())
    };
    let makefile = fs::read_to_string(root().join("Makefile")).unwrap();
    let ours =
        Regex::new(r"^(?:target/release/)?couchside ([a-z]+)(?: (new|verify|list|check|add)\b)?([^|;&#]*)")
            .unwrap();
    let option = Regex::new(r"(?:^| )(--[a-z][a-z-]*)").unwrap();
    let made = Regex::new(r"^make ([a-z]+)").unwrap();
    let mut checked = 0;
    for (name, text) in under("", ".md") {
        for span in code(&text) {
            if let Some(target) = made.captures(&span) {
                assert!(
                    makefile.contains(&format!("\n{}:", &target[1])),
                    "{name}: `{span}`: no such target"
                );
                checked += 1;
            }
            if let Some(command) = ours.captures(&span).filter(|command| &command[1] != "help") {
                let words: Vec<&str> = [command.get(1), command.get(2)]
                    .into_iter()
                    .flatten()
                    .map(|word| word.as_str())
                    .collect();
                let help = help(&words).unwrap_or_else(|| panic!("{name}: `{span}`: no such command"));
                for given in option
                    .captures_iter(&command[3])
                    .filter(|given| &given[1] != "--help")
                {
                    assert!(
                        help.contains(&given[1]),
                        "{name}: `{span}`: no option {}",
                        &given[1]
                    );
                }
                checked += 1;
            }
        }
    }
    assert!(checked > 20, "{checked} commands");
}
