//! Two readings of one sound → the fields in which they differ: those are in doubt.

use serde_json::Value;

use crate::finding::{Doubt, Finding};

/// Marks in `findings` every field whose value the rival reading has differently. Readings of different shape (another
/// number of findings, another kind) are not compared field by field: then `false` is returned and nothing is marked.
pub fn mark(findings: &mut [Finding], rival: &[Finding]) -> bool {
    let same_shape = findings.len() == rival.len()
        && findings
            .iter()
            .zip(rival)
            .all(|(ours, theirs)| ours.kind == theirs.kind);
    if same_shape {
        for (ours, theirs) in findings.iter_mut().zip(rival) {
            mark_one(ours, theirs);
        }
    }
    same_shape
}

fn mark_one(ours: &mut Finding, theirs: &Finding) {
    let (Ok(Value::Object(mine)), Ok(Value::Object(other))) =
        (serde_json::to_value(&*ours), serde_json::to_value(theirs))
    else {
        return;
    };
    let absent = || "nothing".to_string();
    let fields: std::collections::BTreeSet<&String> = mine.keys().chain(other.keys()).collect();
    for field in fields {
        if matches!(field.as_str(), "kind" | "doubts" | "missing") || mine.get(field) == other.get(field) {
            continue;
        }
        let said = mine.get(field).map_or_else(absent, in_words);
        let or = other.get(field).map_or_else(absent, in_words);
        match ours.doubts.iter_mut().find(|doubt| doubt.field == *field) {
            Some(doubt) if doubt.or.contains(&or) => {}
            Some(doubt) => doubt.or.push(or),
            None => ours.doubts.push(Doubt {
                field: field.clone(),
                said,
                or: vec![or],
            }),
        }
    }
}

/// A field of a finding in the words of a doubt; `None` if it was not said.
pub fn value_of(finding: &Finding, field: &str) -> Option<String> {
    let whole = serde_json::to_value(finding).ok()?;
    whole.get(field).map(in_words)
}

/// A field's value as it is asked about.
pub fn in_words(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Array(values) => values.iter().map(in_words).collect::<Vec<_>>().join(", "),
        Value::Object(parts) => {
            let parts = parts.iter().map(|(name, value)| match (name.as_str(), value) {
                ("to", value) => in_words(value),
                (name, Value::Bool(true)) => name.to_string(),
                (name, Value::Bool(false)) => format!("not {name}"),
                (name, value) => format!("{name} {}", in_words(value)),
            });
            parts.collect::<Vec<_>>().join(", ")
        }
        other => other.to_string(),
    }
}
