//! What a finding says, for comparison: what is found, apart from what is still open.

use std::collections::BTreeSet;

use serde_json::{Map, Value};

use crate::finding::Finding;
use crate::hear::word_errors::words;
use crate::interpret::in_words;

/// The fields of a finding that say what was found. The order of signs does not count, nor do the punctuation and
/// capitals of a note. What is missing or in doubt is not part of it: see [`open`].
pub fn content(finding: &Finding) -> Map<String, Value> {
    let mut finding = finding.clone();
    finding.signs.sort();
    finding.text = finding.text.map(|text| words(&text).join(" "));
    finding.missing.clear();
    finding.doubts.clear();
    match serde_json::to_value(finding) {
        Ok(Value::Object(fields)) => fields,
        _ => Map::new(),
    }
}

/// The fields that still have to be asked: missing or in doubt.
pub(super) fn open(finding: &Finding) -> BTreeSet<String> {
    let doubts = finding.doubts.iter().map(|doubt| &doubt.field);
    finding.missing.iter().chain(doubts).cloned().collect()
}

/// Whether two findings say the same and leave the same open. Between which values a doubt is counts, their order does
/// not.
pub fn same(one: &Finding, other: &Finding) -> bool {
    let doubts = |finding: &Finding| -> BTreeSet<(String, BTreeSet<String>)> {
        let values = finding.doubts.iter().map(|doubt| {
            let values = doubt.or.iter().chain([&doubt.said]).cloned().collect();
            (doubt.field.clone(), values)
        });
        values.collect()
    };
    content(one) == content(other) && open(one) == open(other) && doubts(one) == doubts(other)
}

/// A field on which two findings differ, and its values in words; `nothing` where it is absent.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
pub struct Difference {
    pub field: String,
    pub said: String,
    pub heard: String,
}

/// The fields on which what was heard differs from what was said, in alphabetical order.
pub(super) fn differences(said: &Finding, heard: &Finding) -> Vec<Difference> {
    let (said, heard) = (content(said), content(heard));
    let fields: BTreeSet<&String> = said.keys().chain(heard.keys()).collect();
    let value = |of: &Map<String, Value>, field: &String| of.get(field).map_or("nothing".into(), in_words);
    fields
        .into_iter()
        .filter(|field| said.get(*field) != heard.get(*field))
        .map(|field| Difference {
            field: field.clone(),
            said: value(&said, field),
            heard: value(&heard, field),
        })
        .collect()
}

/// A finding on one line: every field that it has, and what is open.
pub(super) fn line(finding: &Finding) -> String {
    let fields = content(finding);
    let mut parts: Vec<String> = fields
        .iter()
        .map(|(field, value)| match field.as_str() {
            "kind" | "side" | "joint" | "movement" | "mode" => in_words(value),
            _ => format!("{} {}", field.replace('_', " "), in_words(value)),
        })
        .collect();
    parts.extend(finding.missing.iter().map(|field| format!("{field}?")));
    parts.extend(
        finding
            .doubts
            .iter()
            .map(|doubt| format!("{} {} or {}?", doubt.field, doubt.said, doubt.or.join(" or "))),
    );
    parts.join(", ")
}
