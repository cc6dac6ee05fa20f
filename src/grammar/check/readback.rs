//! What is said back of a finding: all of it, and nothing that would steer the program.

use serde_json::Value;

use crate::finding::Finding;
use crate::readback::clause;

use super::super::error::GrammarError;
use super::super::fragment::Fill;
use super::super::{Grammar, Source};
use super::examples::Read;
use super::{Check, place};

/// Every wording of a control word.
fn controls(grammar: &Grammar) -> Vec<String> {
    let mut controls = Vec::new();
    grammar.automaton.wordings(|steps, ids| {
        // What people say to each other as well steers nothing by itself.
        let is_control = |id: &u32| {
            let fill = &grammar.automaton.fragment(*id).fill;
            matches!(fill, Fill::Control { everyday: false, .. })
        };
        if ids.iter().any(is_control) {
            controls.push(grammar.written(steps));
        }
    });
    controls
}

/// The control word that a text holds, if it holds one.
fn held<'a>(controls: &'a [String], text: &str) -> Option<&'a String> {
    let words: Vec<String> = text
        .split(|c: char| !c.is_alphanumeric() && c != '\'')
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    let text = format!(" {} ", words.join(" "));
    controls
        .iter()
        .find(|control| text.contains(&format!(" {control} ")))
}

/// The names of values are said back too.
pub(super) fn names(source: &Source, grammar: &Grammar, faults: &mut Vec<GrammarError>) {
    let controls = controls(grammar);
    for file in source.names().filter(|file| !NOT_SAID_BACK.contains(file)) {
        for (key, name, at) in place::texts(source.text(file)) {
            if !matches!(key.as_str(), "is" | "joint" | "level") {
                continue;
            }
            if let Some(control) = held(&controls, &name) {
                let message = format!("`{name}` is said back and holds the control word `{control}`");
                let remedy = "choose a name without it; what is said for it may stay";
                let fault = GrammarError::at(source.shown(file), source.text(file), at, message, remedy);
                faults.push(fault.found_by(Check::SpeaksNoControl));
            }
        }
    }
}

/// The file whose names are the control words, and those that hold no names.
const NOT_SAID_BACK: [&str; 2] = ["controls.toml", "examples.toml"];

/// Takes every field out of every example's findings in turn: what is said back must change.
pub(super) fn whole(source: &Source, grammar: &Grammar, read: &[Read], faults: &mut Vec<GrammarError>) {
    let mut known = Vec::new();
    for example in read {
        for finding in &example.findings {
            for field in left_out(grammar, finding) {
                if known.contains(&field) {
                    continue;
                }
                let fault = GrammarError::at(
                    &example.file,
                    source.text(&example.file),
                    example.at,
                    format!(
                        "what is said back of this, `{}`, leaves out `{field}`",
                        clause(grammar, finding)
                    ),
                    "name the part in `order` of readback.toml: it would be confirmed without having been said",
                );
                faults.push(fault.found_by(Check::ReadbackWhole));
                known.push(field);
            }
        }
    }
}

/// The fields of a finding that make no difference to what is said of it.
fn left_out(grammar: &Grammar, finding: &Finding) -> Vec<String> {
    let said = clause(grammar, finding);
    let Ok(Value::Object(fields)) = serde_json::to_value(finding) else {
        return Vec::new();
    };
    let mut out = Vec::new();
    // The kind follows from what is named; what is missing or in doubt is asked, not said.
    for field in fields
        .keys()
        .filter(|field| !matches!(field.as_str(), "kind" | "missing" | "doubts"))
    {
        let mut fewer = fields.clone();
        fewer.shift_remove(field);
        let without = serde_json::from_value::<Finding>(Value::Object(fewer));
        if without.is_ok_and(|without| clause(grammar, &without) == said) {
            out.push(field.clone());
        }
    }
    out
}
