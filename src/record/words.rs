//! The words of a finding, for the search index.

use serde_json::Value;

use crate::finding::Finding;

/// Every field's name and value, in order, so that a search for a value or for a field finds it.
pub(super) fn words(finding: &Finding) -> String {
    let mut found = Vec::new();
    if let Ok(value) = serde_json::to_value(finding) {
        gather(&value, &mut found);
    }
    found.join(" ")
}

fn gather(value: &Value, found: &mut Vec<String>) {
    match value {
        Value::Null | Value::Bool(_) => {}
        Value::Number(number) => found.push(number.to_string()),
        Value::String(text) => found.push(text.clone()),
        Value::Array(items) => items.iter().for_each(|item| gather(item, found)),
        Value::Object(fields) => {
            for (name, value) in fields {
                found.push(name.replace('_', " "));
                gather(value, found);
            }
        }
    }
}
