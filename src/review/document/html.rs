//! As one HTML file for a browser: nothing is fetched, nothing runs, and it prints on A4.

use super::drawing::svg;
use super::text::{lines, one_line, plain_lines};
use super::{Align, Block, Document, Figure, List, Run, Style, Table};

const STYLE: &str = include_str!("print.css");
/// Letters of a word after which it may be broken in a cell.
const LONG: usize = 16;

/// The whole file.
pub fn write(document: &Document) -> String {
    let mut page = format!(
        "<!doctype html>\n<html lang=\"{}\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n<main>\n",
        document.language_tag(),
        escaped(&one_line(&document.title)),
    );
    for block in &document.blocks {
        page.push_str(&self::block(block));
    }
    page.push_str("</main>\n");
    page.push_str(&around("footer", &escaped(&one_line(&document.footer))));
    page.push_str("</body>\n</html>\n");
    page
}

fn block(block: &Block) -> String {
    match block {
        Block::Heading(level, text) => around(&format!("h{}", *level as usize), &escaped(&one_line(text))),
        Block::Paragraph(runs) => around("p", &paragraph(runs)),
        Block::List(list) => self::list(list),
        Block::Facts(facts) => {
            let facts = facts.iter().map(|fact| {
                let (name, value) = (escaped(&one_line(&fact.name)), plain(&fact.value));
                if name.is_empty() && value.is_empty() {
                    return String::new();
                }
                format!("<div><dt>{name}</dt><dd>{value}</dd></div>\n")
            });
            around("dl", &facts.collect::<String>())
        }
        Block::Table(table) => self::table(table),
        Block::Figure(figure) => self::figure(figure),
        Block::Signature(text) => format!("<p class=\"signature\">{}</p>\n", plain(text)),
        Block::Rule => "<hr>\n".to_owned(),
    }
}

/// An element, or nothing if it would be empty.
fn around(name: &str, inner: &str) -> String {
    match inner.is_empty() {
        true => String::new(),
        false => format!("<{name}>{inner}</{name}>\n"),
    }
}

fn list(list: &List) -> String {
    let items = list.items.iter().map(|item| around("li", &paragraph(item)));
    around(
        if list.numbered { "ol" } else { "ul" },
        &items.collect::<String>(),
    )
}

fn table(table: &Table) -> String {
    let columns = table.all_columns();
    if columns.is_empty() {
        return String::new();
    }
    let class = |place: usize| match columns[place].align {
        Align::Start => "",
        Align::Middle => " class=\"middle\"",
        Align::End => " class=\"end\"",
    };
    let mut inner = around("caption", &escaped(&one_line(&table.caption)));
    if columns.iter().any(|column| !one_line(&column.heading).is_empty()) {
        inner.push_str("<thead><tr>");
        for (place, column) in columns.iter().enumerate() {
            let heading = breakable(&one_line(&column.heading));
            // A header cell without text would be announced as one.
            inner.push_str(&match heading.is_empty() {
                true => "<td></td>".to_owned(),
                false => format!("<th scope=\"col\"{}>{heading}</th>", class(place)),
            });
        }
        inner.push_str("</tr></thead>\n");
    }
    inner.push_str("<tbody>\n");
    for row in &table.rows {
        let cells = table.cells(row).enumerate().map(|(place, cell)| {
            let cell = breakable(cell);
            match place == 0 && table.row_headings && !cell.is_empty() {
                true => format!("<th scope=\"row\"{}>{cell}</th>", class(place)),
                false => format!("<td{}>{cell}</td>", class(place)),
            }
        });
        inner.push_str(&around("tr", &cells.collect::<String>()));
    }
    inner.push_str("</tbody>");
    around("table", &inner)
}

fn figure(figure: &Figure) -> String {
    let picture = svg(&figure.drawing, &escaped(&one_line(figure.in_words())));
    let caption = around("figcaption", &escaped(&one_line(&figure.caption)));
    around("figure", &(picture + &caption))
}

fn paragraph(runs: &[Run]) -> String {
    let lines = lines(runs)
        .into_iter()
        .map(|line| line.iter().map(run).collect::<String>());
    lines.collect::<Vec<_>>().join("<br>\n")
}

fn run(run: &Run) -> String {
    let text = escaped(&run.text);
    match run.style {
        Style::Plain => text,
        Style::Strong => format!("<strong>{text}</strong>"),
        Style::Emphasis => format!("<em>{text}</em>"),
    }
}

fn plain(text: &str) -> String {
    let lines = plain_lines(text).into_iter().map(|line| escaped(&line));
    lines.collect::<Vec<_>>().join("<br>\n")
}

/// The same, with places to break a line in words that are long.
fn breakable(text: &str) -> String {
    let mut written = String::new();
    let mut long = 0;
    for letter in plain_lines(text).join("\n").chars() {
        long = if matches!(letter, ' ' | '\n') { 0 } else { long + 1 };
        if long > LONG && long % LONG == 1 {
            written.push_str("<wbr>");
        }
        match letter {
            '\n' => written.push_str("<br>\n"),
            _ => written.push_str(&escaped(letter.encode_utf8(&mut [0; 4]))),
        }
    }
    written
}

/// Text in which nothing is markup, between tags and in quoted attributes alike.
pub(super) fn escaped(text: &str) -> String {
    let mut written = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => written.push_str("&amp;"),
            '<' => written.push_str("&lt;"),
            '>' => written.push_str("&gt;"),
            '"' => written.push_str("&quot;"),
            '\'' => written.push_str("&#39;"),
            _ => written.push(letter),
        }
    }
    written
}
