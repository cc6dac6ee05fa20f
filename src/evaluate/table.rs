//! Tables for people, and the names in them.

use std::fmt::{self, Formatter};

use serde::Serialize;

use super::judged::Class;
use super::tally::Share;
use super::verdict::Verdict;
use crate::interpret::in_words;

/// The verdict as it is printed for a class.
pub(super) fn label(class: Class, verdict: Verdict) -> String {
    match (class, verdict) {
        (Class::ToRefuse, Verdict::Right) => "refused, as it must be".into(),
        (Class::Talk | Class::NearTalk, Verdict::Right) => "left alone".into(),
        _ => name(verdict),
    }
}

/// What a table shows where there is nothing to show.
pub(super) const NONE: &str = "–";

/// A share in per cent and its interval.
pub(super) fn percents(share: &Share) -> [String; 2] {
    let percent = share
        .percent
        .map_or(NONE.into(), |percent| format!("{percent:.1}"));
    let interval = share
        .interval
        .map_or(NONE.into(), |[low, high]| format!("{low:.1}–{high:.1}"));
    [percent, interval]
}

/// Columns under a head, the first to the left and the others to the right; nothing if there are no rows.
pub(super) fn table(head: &[&str], rows: Vec<Vec<String>>, to: &mut Formatter<'_>) -> fmt::Result {
    if rows.is_empty() {
        return Ok(());
    }
    let wide = |text: &str| text.chars().count();
    let width = |column: usize| {
        let cells = rows.iter().map(|row| wide(&row[column]));
        cells.max().unwrap_or_default().max(wide(head[column]))
    };
    let widths: Vec<usize> = (0..head.len()).map(width).collect();
    writeln!(to)?;
    let mut print = |cells: &[&str]| {
        write!(to, "{:<1$}", cells[0], widths[0])?;
        for (cell, width) in cells.iter().zip(&widths).skip(1) {
            write!(to, "  {cell:>width$}")?;
        }
        writeln!(to)
    };
    print(head)?;
    rows.iter()
        .try_for_each(|row| print(&row.iter().map(String::as_str).collect::<Vec<_>>()))
}

/// A name as the JSON document writes it.
pub(super) fn name(of: impl Serialize) -> String {
    serde_json::to_value(of).map_or_else(|_| String::new(), |value| in_words(&value))
}

pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Words could hold what a terminal takes for a command; it is shown as a space.
pub(super) fn plain(text: &str) -> String {
    text.replace(char::is_control, " ")
}
