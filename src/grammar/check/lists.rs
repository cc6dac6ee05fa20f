//! Every file and every list is used.

use toml::de::{DeTable, DeValue};

use super::super::Source;
use super::super::error::GrammarError;
use super::Check;

/// Adds a fault for each file that nothing reads, and for each list whose values can't be said.
pub(super) fn used(source: &Source, faults: &mut Vec<GrammarError>) {
    for file in source.unread() {
        faults.push(fault(
            source,
            &file,
            0,
            format!("nothing reads `{file}`"),
            "correct its name or its folder, or take it away; `grammars/README.md` lists the files",
        ));
    }
    for file in source.names() {
        let Ok(table) = DeTable::parse(source.text(file)) else {
            continue;
        };
        let table = table.into_inner();
        unsaid(source, file, &table, faults);
        if let Some(DeValue::Array(lists)) = table.get("list").map(|lists| lists.get_ref()) {
            for list in lists.iter() {
                if let DeValue::Table(list) = list.get_ref() {
                    unsaid(source, file, list, faults);
                }
            }
        }
    }
}

/// A list without frames, or a value without a wording, is never heard.
fn unsaid(source: &Source, file: &str, list: &DeTable<'_>, faults: &mut Vec<GrammarError>) {
    let (Some(slot), Some(DeValue::Array(values))) =
        (list.get("slot"), list.get("value").map(|v| v.get_ref()))
    else {
        return;
    };
    let is_empty = |key: &str| match list.get(key).map(|value| value.get_ref()) {
        Some(DeValue::Array(entries)) => entries.is_empty(),
        _ => true,
    };
    if is_empty("phrases") && is_empty("phrases_after") {
        faults.push(fault(
            source,
            file,
            slot.span().start,
            "this list has no `phrases`, so none of its values can be said".into(),
            "write at least phrases = [\"{}\"]",
        ));
    }
    for value in values.iter() {
        if let DeValue::Table(entry) = value.get_ref()
            && let Some(DeValue::Array(said)) = entry.get("said").map(|said| said.get_ref())
            && said.is_empty()
        {
            faults.push(fault(
                source,
                file,
                value.span().start,
                "nothing is said for this value".into(),
                "write at least one wording in `said`, or take the value out",
            ));
        }
    }
}

fn fault(source: &Source, file: &str, at: usize, message: String, remedy: &str) -> GrammarError {
    GrammarError::at(source.shown(file), source.text(file), at, message, remedy).found_by(Check::ListUsed)
}
