//! The text that people typed, as all writers print it.
//!
//! White space within a line is one space, lines without text are dropped, and so are control characters and hints that
//! nobody sees (soft hyphens, byte order marks, noncharacters): formats differ in what they do to them.

use super::{Column, Document, Run, Style, Table};

/// A paragraph as its lines. Runs next to each other differ in style; no line begins or ends with a space, and neither
/// does a run that stands out.
pub fn lines(runs: &[Run]) -> Vec<Vec<Run>> {
    let mut lines: Vec<Vec<Run>> = Vec::new();
    let mut line: Vec<Run> = Vec::new();
    let mut space = false;
    for (letter, style) in runs
        .iter()
        .flat_map(|run| run.text.chars().map(|c| (c, run.style)))
    {
        if is_break(letter) {
            lines.extend((!line.is_empty()).then(|| std::mem::take(&mut line)));
            space = false;
        } else if matches!(letter, ' ' | '\t') {
            space = !line.is_empty();
        } else if !is_dropped(letter) {
            let last = line.last().map(|run| run.style);
            if std::mem::take(&mut space) {
                let between = last.filter(|last| *last == style).unwrap_or_default();
                push(&mut line, ' ', between);
            }
            push(&mut line, letter, style);
        }
    }
    lines.extend((!line.is_empty()).then_some(line));
    lines
}

/// Text without emphasis as its lines.
pub fn plain_lines(text: &str) -> Vec<String> {
    let lines = lines(&[Run::plain(text)]);
    lines
        .into_iter()
        .map(|line| line.into_iter().map(|run| run.text).collect())
        .collect()
}

/// The same where there is room for one line only.
pub fn one_line(text: &str) -> String {
    plain_lines(text).join(" ")
}

fn push(line: &mut Vec<Run>, letter: char, style: Style) {
    match line.last_mut().filter(|run| run.style == style) {
        Some(run) => run.text.push(letter),
        None => {
            let text = letter.to_string();
            line.push(Run { text, style });
        }
    }
}

fn is_break(letter: char) -> bool {
    matches!(
        letter,
        '\n' | '\r' | '\u{b}' | '\u{c}' | '\u{85}' | '\u{2028}' | '\u{2029}'
    )
}

fn is_dropped(letter: char) -> bool {
    let number = letter as u32;
    let noncharacter = number & 0xFFFE == 0xFFFE || (0xFDD0..=0xFDEF).contains(&number);
    letter.is_control() || noncharacter || matches!(letter, '\u{ad}' | '\u{feff}')
}

impl Document {
    /// The language tag, `und` (undetermined) if it is not one.
    pub(super) fn language_tag(&self) -> &str {
        let fits =
            |part: &str| (1..=8).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_alphanumeric());
        let is_tag = self.language.split('-').all(fits);
        if is_tag { &self.language } else { "und" }
    }
}

impl Table {
    /// How many columns it has, those without a heading counted.
    pub(super) fn width(&self) -> usize {
        let longest = self.rows.iter().map(Vec::len).max().unwrap_or(0);
        longest.max(self.columns.len())
    }

    /// Its columns, [`Table::width`] of them.
    pub(super) fn all_columns(&self) -> Vec<Column> {
        let mut columns = self.columns.clone();
        columns.resize(self.width(), Column::default());
        columns
    }

    /// A row's cells, [`Table::width`] of them.
    pub(super) fn cells<'a>(&self, row: &'a [String]) -> impl Iterator<Item = &'a str> + use<'a> {
        let cells = row.iter().map(String::as_str).chain(std::iter::repeat(""));
        cells.take(self.width())
    }
}
