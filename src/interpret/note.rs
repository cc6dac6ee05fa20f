//! Free words, kept as they are written.

use crate::finding::{Finding, Kind, Outcome};

use super::{Reading, new, unclear};

/// The words after the `opening` first ones, as they are written.
pub fn note(text: &str, opening: usize) -> Reading {
    let mut rest = text;
    for _ in 0..opening {
        rest = rest
            .trim_start_matches(|c: char| !c.is_alphanumeric())
            .trim_start_matches(char::is_alphanumeric);
    }
    let rest = rest
        .trim_start_matches(|c: char| c.is_whitespace() || ",.:;!—–".contains(c))
        .trim_end();
    if rest.is_empty() {
        return unclear("the note is empty");
    }
    let mut note = Finding::new(Kind::Note);
    note.text = Some(rest.to_string());
    new(Outcome::Finding { findings: vec![note] })
}
