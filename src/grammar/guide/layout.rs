//! The page: headings at the left, what is said beside them.

/// Columns of the page.
pub(super) const WIDTH: usize = 80;
/// Columns of the headings; what is said begins after them.
pub(super) const MARGIN: usize = 16;
/// Between two wordings on a line.
const GAP: &str = "   ";

/// Two columns; the second may be empty.
pub(super) fn columns(rows: &[(String, String)], between: &str) -> Vec<String> {
    let width = rows.iter().map(|(first, _)| first.len()).max().unwrap_or(0) + GAP.len();
    let row = |(first, second): &(String, String)| match second.as_str() {
        "" => first.clone(),
        second => format!("{first:width$}{between}{second}"),
    };
    rows.iter().map(row).collect()
}

/// A heading with its lines beside it, and an empty line below.
pub(super) fn block(heading: &str, lines: Vec<String>) -> Vec<String> {
    let mut out = Vec::new();
    for (number, line) in lines.iter().enumerate() {
        let heading = if number == 0 { heading } else { "" };
        out.push(format!("{heading:MARGIN$}{line}").trim_end().to_string());
    }
    out.push(String::new());
    out
}

/// Wordings one after the other, as many on a line as fit beside the heading.
pub(super) fn lines(wordings: &[String]) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for wording in wordings {
        match lines.last_mut() {
            Some(line) if line.chars().count() + GAP.len() + wording.chars().count() <= WIDTH - MARGIN => {
                line.push_str(GAP);
                line.push_str(wording);
            }
            _ => lines.push(wording.clone()),
        }
    }
    lines
}

pub(super) fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_string()),
        }
    }
    lines
}
