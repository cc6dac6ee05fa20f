//! No word of the trade is written in Rust.

use std::collections::BTreeSet;
use std::path::Path;

use regex::Regex;
use serde_json::Value;

use super::under;

/// The texts in quotes of a Rust file, without its comments and its unit tests.
fn quoted(source: &str) -> Vec<String> {
    let code = source.split("#[cfg(test)]").next().unwrap_or_default();
    let tokens = Regex::new(r#"(?s)//[^\n]*|/\*.*?\*/|'(?:\\.|[^\\'])'|"((?:\\.|[^"\\])*)""#).unwrap();
    tokens
        .captures_iter(code)
        .filter_map(|found| Some(found.get(1)?.as_str().to_string()))
        .collect()
}

/// Words in the names of joints and movements that everybody uses.
const EVERYDAY: [&str; 12] = [
    "hand", "back", "head", "behind", "finger", "great", "lesser", "toe", "lateral", "upward", "downward",
    "thumb",
];

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
        if name.starts_with("grammars/examples/") {
            continue;
        }
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
                    .filter(|word| !EVERYDAY.contains(word))
                    .map(str::to_string),
            );
        } else if name.starts_with("grammars/muscles") || name.starts_with("grammars/tests") {
            let key = if name.starts_with("grammars/muscles") {
                "muscle"
            } else {
                "test"
            };
            let all = file[key].as_array().unwrap();
            whole.extend(
                all.iter()
                    .map(|entry| entry["is"].as_str().unwrap().to_lowercase()),
            );
        }
        for entry in entries {
            let said = entry["said"].as_array().unwrap().iter().chain([&entry["is"]]);
            whole.extend(
                // A wording that has a weight holds its words in `say`.
                said.map(|word| word.get("say").unwrap_or(word).as_str().unwrap().to_lowercase())
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
