//! As CommonMark with the pipe tables of GitHub Flavored Markdown.
//!
//! Every mark that means something is escaped, so that what people typed reads as they typed it. A renderer may still
//! underline an address that it recognises by itself.

use super::text::{lines, one_line, plain_lines};
use super::{Align, Block, Document, Run, Style, Table};

/// What a signature is written on.
const LINE: &str = "\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_\\_";

/// The whole document, with a line break at its end. Title and language are not part of it; figures are their text.
pub fn write(document: &Document) -> String {
    let blocks = document.blocks.iter().enumerate();
    let mut blocks: Vec<String> = blocks
        .filter_map(|(place, part)| block(part, place % 2))
        .collect();
    let footer = escaped(&one_line(&document.footer));
    if !footer.is_empty() {
        blocks.extend(["---".to_owned(), at_start(footer)]);
    }
    blocks.join("\n\n") + "\n"
}

/// `turn` is 0 and 1 by turns: lists with the same marks after each other would be one.
fn block(block: &Block, turn: usize) -> Option<String> {
    let bullet = ["-", "*"][turn];
    match block {
        Block::Heading(level, text) => {
            let text = escaped(&one_line(text));
            (!text.is_empty()).then(|| format!("{} {text}", "#".repeat(*level as usize)))
        }
        Block::Paragraph(runs) => paragraph(runs, ""),
        Block::List(list) => {
            let items = list.items.iter().filter(|item| !lines(item).is_empty());
            let items = items.enumerate().filter_map(|(number, runs)| {
                let label = match list.numbered {
                    true => format!("{}{} ", number + 1, [".", ")"][turn]),
                    false => format!("{bullet} "),
                };
                Some(format!("{label}{}", paragraph(runs, &" ".repeat(label.len()))?))
            });
            some(items.collect::<Vec<_>>().join("\n"))
        }
        Block::Facts(facts) => {
            let facts = facts.iter().filter_map(|fact| {
                let name = one_line(&fact.name);
                let name = if name.is_empty() { name } else { name + ":" };
                paragraph(
                    &[Run::strong(name), Run::plain(" "), Run::plain(&fact.value)],
                    "  ",
                )
            });
            some(
                facts
                    .map(|fact| format!("{bullet} {fact}"))
                    .collect::<Vec<_>>()
                    .join("\n"),
            )
        }
        Block::Table(table) => self::table(table),
        Block::Figure(figure) => {
            let caption = paragraph(&[Run::strong(&figure.caption)], "");
            let text = paragraph(&[Run::plain(&figure.text)], "");
            some(caption.into_iter().chain(text).collect::<Vec<_>>().join("\n\n"))
        }
        Block::Signature(text) => {
            let below = paragraph(&[Run::plain(text)], "");
            Some(
                [LINE.to_owned()]
                    .into_iter()
                    .chain(below)
                    .collect::<Vec<_>>()
                    .join("\\\n"),
            )
        }
        Block::Rule => Some("---".to_owned()),
    }
}

fn some(text: String) -> Option<String> {
    (!text.is_empty()).then_some(text)
}

/// `indent` is put before every line but the first.
fn paragraph(runs: &[Run], indent: &str) -> Option<String> {
    let lines = lines(runs).into_iter().map(|line| at_start(inline(&line)));
    some(lines.collect::<Vec<_>>().join(&format!("\\\n{indent}")))
}

fn table(table: &Table) -> Option<String> {
    let columns = table.all_columns();
    if columns.is_empty() {
        return None;
    }
    let row = |cells: Vec<String>| format!("| {} |", cells.join(" | "));
    let rules = columns.iter().map(|column| match column.align {
        Align::Start => "---".to_owned(),
        Align::Middle => ":-:".to_owned(),
        Align::End => "--:".to_owned(),
    });
    let heads = columns.iter().map(|column| escaped(&one_line(&column.heading)));
    let mut written = vec![row(heads.collect()), row(rules.collect())];
    for cells in &table.rows {
        let cells = table.cells(cells).enumerate().map(|(place, cell)| {
            let style = match place == 0 && table.row_headings {
                true => Style::Strong,
                false => Style::Plain,
            };
            let text = plain_lines(cell).join(" ");
            lines(&[Run { text, style }])
                .first()
                .map_or(String::new(), |line| inline(line))
        });
        written.push(row(cells.collect()));
    }
    let caption = paragraph(&[Run::strong(one_line(&table.caption))], "");
    Some(
        caption
            .into_iter()
            .chain([written.join("\n")])
            .collect::<Vec<_>>()
            .join("\n\n"),
    )
}

/// A line. A run is marked only where the marks count as such beside their neighbours; else its text stands unmarked.
fn inline(line: &[Run]) -> String {
    let mut written = String::new();
    for (place, run) in line.iter().enumerate() {
        let text = escaped(&run.text);
        let mark = match run.style {
            Style::Plain => "",
            Style::Strong => "**",
            Style::Emphasis => "_",
        };
        let next = line.get(place + 1).map(|next| escaped(&next.text));
        let outside = [
            written.chars().last(),
            next.as_deref().and_then(|next| next.chars().next()),
        ];
        let inside = [text.chars().next(), text.chars().last()];
        let counts = |(outside, inside): (Option<char>, Option<char>)| {
            outside.is_none_or(|letter| letter == ' ' || letter.is_ascii_punctuation())
                || run.style == Style::Strong && inside.is_some_and(char::is_alphanumeric)
        };
        let inner = inside.iter().flatten().all(|letter| !letter.is_whitespace());
        if inner && outside.into_iter().zip(inside).all(counts) {
            written.extend([mark, &text, mark]);
        } else {
            written.push_str(&text);
        }
    }
    written
}

/// Escapes what has a meaning anywhere in a line.
fn escaped(text: &str) -> String {
    let mut written = String::with_capacity(text.len() + 8);
    for (place, letter) in text.char_indices() {
        let rest = &text[place..];
        let special =
            "\\`*_[]<>&|~$^{}#".contains(letter) || rest.starts_with("://") || rest.starts_with('@');
        // "www." becomes a link in GitHub's renderer.
        let dot = letter == '.' && text[..place].to_ascii_lowercase().ends_with("www");
        if special || dot {
            written.push('\\');
        }
        written.push(letter);
    }
    written
}

/// Escapes what has a meaning at the start of a line only: list markers, rules, underlines of headings.
fn at_start(line: String) -> String {
    let digits = line.bytes().take_while(u8::is_ascii_digit).count();
    let place = match line.as_bytes().get(digits) {
        Some(b'.' | b')') if digits > 0 => digits,
        Some(b'-' | b'+' | b'=' | b':') if digits == 0 => 0,
        _ => return line,
    };
    format!("{}\\{}", &line[..place], &line[place..])
}
