//! Where in the grammar's files a wording comes from.

use toml::de::{DeTable, DeValue};

use super::super::Source;
use super::super::error::GrammarError;
use super::super::pattern::{Piece, expand};
use super::Check;

/// Files that tell of wordings but bring none.
const TELL: [&str; 4] = ["examples", "guide", "readback", "talk"];

/// A fault of the wording `sentence`, placed at the longest entry of a file that is the sentence or a part of it.
pub(super) fn fault(
    source: &Source,
    check: Check,
    sentence: &str,
    message: String,
    remedy: impl Into<String>,
) -> GrammarError {
    let (file, offset) = find(source, sentence);
    GrammarError::at(source.shown(&file), source.text(&file), offset, message, remedy).found_by(check)
}

fn find(source: &Source, sentence: &str) -> (String, usize) {
    let padded = format!(" {sentence} ");
    let mut best = (0, String::new(), 0);
    for file in source
        .names()
        .filter(|file| !TELL.iter().any(|tell| file.starts_with(tell)))
    {
        for (key, text, at) in texts(source.text(file)) {
            // Other keys hold names, and names are not said unless they are listed.
            if !matches!(
                key.as_str(),
                "said" | "said_whole" | "said_with_result" | "say" | "words" | "phrases" | "heard"
            ) {
                continue;
            }
            for wording in expand(&text, "").unwrap_or_default() {
                let wording: Vec<String> = wording.iter().map(Piece::to_string).collect();
                let wording = wording.join(" ");
                if wording.len() > best.0 && padded.contains(&format!(" {wording} ")) {
                    best = (wording.len(), file.to_string(), at);
                }
            }
        }
    }
    (best.1, best.2)
}

/// Every text of a TOML file with its key and where it stands.
pub(super) fn texts(toml: &str) -> Vec<(String, String, usize)> {
    let mut found = Vec::new();
    if let Ok(table) = DeTable::parse(toml) {
        gather("", &DeValue::Table(table.into_inner()), 0, &mut found);
    }
    found
}

fn gather(key: &str, value: &DeValue<'_>, at: usize, found: &mut Vec<(String, String, usize)>) {
    match value {
        DeValue::String(text) => found.push((key.to_string(), text.to_string(), at)),
        DeValue::Array(values) => {
            for value in values.iter() {
                gather(key, value.get_ref(), value.span().start, found);
            }
        }
        DeValue::Table(table) => {
            for (key, value) in table.iter() {
                gather(key.get_ref(), value.get_ref(), value.span().start, found);
            }
        }
        _ => {}
    }
}
