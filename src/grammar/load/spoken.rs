//! What the program says, checked: it must not answer itself, and it must say every part of a finding.

use toml::de::{DeTable, DeValue};

use super::super::check::Check;
use super::super::error::GrammarError;
use super::super::readback::PARTS;
use super::super::source::Source;

/// Checks `readback.toml` and what `sounds-alike.toml` and the cautions add to it. `controls` is every wording of a control word.
pub(super) fn check(source: &Source, controls: &[Vec<String>]) -> Result<(), GrammarError> {
    sentences(source, "readback.toml", None, controls)?;
    sentences(source, "sounds-alike.toml", Some("say"), controls)?;
    for key in ["says", "action"] {
        sentences(source, "facts/cautions.toml", Some(key), controls)?;
    }
    order(source)
}

/// No sentence holds a control word. `only` is the key whose texts are spoken; without it all are.
fn sentences(
    source: &Source,
    file: &str,
    only: Option<&str>,
    controls: &[Vec<String>],
) -> Result<(), GrammarError> {
    for (at, sentence) in texts(source.text(file), only) {
        let words = words(&sentence);
        let held = controls
            .iter()
            .find(|control| words.windows(control.len()).any(|part| part == *control));
        if let Some(control) = held {
            return Err(GrammarError::at(
                file,
                source.text(file),
                at,
                format!(
                    "the program would say its own control word `{}`",
                    control.join(" ")
                ),
                "say it in other words: what the program says must not steer it",
            )
            .found_by(Check::SpeaksNoControl));
        }
    }
    Ok(())
}

/// A sentence that the program says and that holds these words.
pub(super) fn sentence_with(source: &Source, control: &[String]) -> Option<String> {
    let said = texts(source.text("readback.toml"), None)
        .into_iter()
        .chain(texts(source.text("sounds-alike.toml"), Some("say")));
    let held = |sentence: &String| words(sentence).windows(control.len()).any(|part| part == control);
    said.map(|(_, sentence)| sentence).find(held)
}

/// `order` names every part, and parts only.
fn order(source: &Source) -> Result<(), GrammarError> {
    let file = "readback.toml";
    // An entry may hold several parts, which are said in one go.
    let entries = texts(source.text(file), Some("order"));
    let parts = |(at, entry): &(usize, String)| {
        entry
            .split(' ')
            .map(|part| (*at, part.to_string()))
            .collect::<Vec<_>>()
    };
    let named: Vec<(usize, String)> = entries.iter().flat_map(parts).collect();
    let fault = |at, message| {
        let remedy = format!("the parts are `{}`", PARTS.join("`, `"));
        Err(GrammarError::at(file, source.text(file), at, message, remedy).found_by(Check::ReadbackWhole))
    };
    if let Some((at, part)) = named.iter().find(|(_, part)| !PARTS.contains(&part.as_str())) {
        return fault(*at, format!("a finding has no part `{part}`"));
    }
    let left_out = PARTS
        .iter()
        .find(|part| !named.iter().any(|(_, name)| name == *part));
    match left_out {
        Some(part) => {
            let at = source.text(file).find("order =").unwrap_or(0);
            fault(
                at,
                format!("`order` leaves out `{part}`: it would be confirmed without having been said"),
            )
        }
        None => Ok(()),
    }
}

fn words(sentence: &str) -> Vec<String> {
    let words = sentence.split(|c: char| !c.is_alphanumeric() && c != '\'');
    words
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect()
}

/// Every text in a TOML file and where it stands, in order; with `only`, those under that key.
fn texts(toml: &str, only: Option<&str>) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    if let Ok(table) = DeTable::parse(toml) {
        gather(
            &DeValue::Table(table.into_inner()),
            0,
            only.is_none(),
            only,
            &mut found,
        );
    }
    found.sort();
    found
}

fn gather(
    value: &DeValue<'_>,
    at: usize,
    wanted: bool,
    only: Option<&str>,
    found: &mut Vec<(usize, String)>,
) {
    match value {
        DeValue::String(text) if wanted => found.push((at, text.to_string())),
        DeValue::Array(values) => {
            for value in values.iter() {
                gather(value.get_ref(), value.span().start, wanted, only, found);
            }
        }
        DeValue::Table(table) => {
            for (key, value) in table.iter() {
                let wanted = wanted || only.is_some_and(|only| key.get_ref() == only);
                gather(value.get_ref(), value.span().start, wanted, only, found);
            }
        }
        _ => {}
    }
}
