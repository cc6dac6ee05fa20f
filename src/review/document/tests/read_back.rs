//! What other programs' parsers read in Markdown and HTML. Built under `#[cfg(test)]` alone.

use pulldown_cmark::{Event, Options, Parser, Tag};
use scraper::{ElementRef, Html, Node, Selector};

use super::*;
use crate::review::document::text::one_line;

/// The words of a text, as all writers take it.
fn words(text: &str) -> Vec<String> {
    one_line(text).split_whitespace().map(str::to_owned).collect()
}

/// The words that a document says, in order. `markdown` has a colon after the name of a fact, what a signature is
/// written on, and figures in words.
pub fn said(document: &Document, markdown: bool) -> Vec<String> {
    let mut said = Vec::new();
    let of = |runs: &[Run]| words(&runs.iter().map(|run| run.text.as_str()).collect::<String>());
    for block in &document.blocks {
        match block {
            Block::Heading(_, text) => said.extend(words(text)),
            Block::Paragraph(runs) => said.extend(of(runs)),
            Block::List(list) => said.extend(list.items.iter().flat_map(|item| of(item))),
            Block::Facts(facts) => {
                for fact in facts {
                    let colon = if markdown && !one_line(&fact.name).is_empty() {
                        ":"
                    } else {
                        ""
                    };
                    said.extend(words(&(one_line(&fact.name) + colon)));
                    said.extend(words(&fact.value));
                }
            }
            Block::Table(table) => {
                said.extend(words(&table.caption));
                said.extend(table.columns.iter().flat_map(|column| words(&column.heading)));
                said.extend(table.rows.iter().flatten().flat_map(|cell| words(cell)));
            }
            Block::Figure(figure) if markdown => {
                said.extend(
                    [&figure.caption, &figure.text]
                        .into_iter()
                        .flat_map(|text| words(text)),
                );
            }
            Block::Figure(figure) => {
                said.extend(["R", "81°"].map(str::to_owned));
                said.extend(words(&figure.caption));
            }
            Block::Signature(text) => {
                said.extend(markdown.then(|| "_".repeat(20)));
                said.extend(words(text));
            }
            Block::Rule => {}
        }
    }
    said.extend(words(&document.footer));
    said
}

/// The words that a Markdown parser reads. Nothing but what this writer writes may be there.
pub fn of_markdown(written: &str) -> Vec<String> {
    let mut text = String::new();
    for event in Parser::new_ext(written, Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH) {
        match event {
            Event::Text(part) => text.push_str(&part),
            Event::HardBreak | Event::Rule => text.push('\n'),
            Event::Start(
                Tag::Heading { .. }
                | Tag::Paragraph
                | Tag::List(_)
                | Tag::Item
                | Tag::Table(_)
                | Tag::TableHead
                | Tag::TableRow
                | Tag::TableCell,
            ) => text.push('\n'),
            Event::Start(Tag::Strong | Tag::Emphasis) | Event::End(_) => {}
            other => panic!("{other:?} in {written}"),
        }
    }
    text.split_whitespace().map(str::to_owned).collect()
}

/// The words that an HTML parser reads. Nothing but what this writer writes may be there.
pub fn of_html(written: &str) -> Vec<String> {
    let page = Html::parse_document(written);
    assert!(page.errors.is_empty(), "{:?} in {written}", page.errors);
    let body = page.select(&Selector::parse("body").unwrap()).next().unwrap();
    let mut text = String::new();
    walk(body, &mut text);
    text.split_whitespace().map(str::to_owned).collect()
}

fn walk(element: ElementRef<'_>, text: &mut String) {
    const INLINE: [&str; 3] = ["strong", "em", "wbr"];
    const BLOCKS: [&str; 29] = [
        "body",
        "main",
        "footer",
        "h1",
        "h2",
        "h3",
        "p",
        "ul",
        "ol",
        "li",
        "dl",
        "div",
        "dt",
        "dd",
        "table",
        "caption",
        "thead",
        "tbody",
        "tr",
        "th",
        "td",
        "figure",
        "figcaption",
        "svg",
        "path",
        "text",
        "hr",
        "br",
        "title",
    ];
    let name = element.value().name();
    assert!(INLINE.contains(&name) || BLOCKS.contains(&name), "<{name}>");
    let known = [
        "class",
        "scope",
        "viewbox",
        "role",
        "aria-label",
        "d",
        "x",
        "y",
        "fill",
        "stroke",
    ];
    for (attribute, value) in element.value().attrs() {
        let own = element.value().name() == "text" || element.value().name() == "path";
        assert!(
            own || known.contains(&attribute.to_ascii_lowercase().as_str()),
            "{attribute}={value}"
        );
    }
    if !INLINE.contains(&name) {
        text.push('\n');
    }
    for child in element.children() {
        match child.value() {
            Node::Text(part) => text.push_str(part),
            Node::Element(_) => walk(ElementRef::wrap(child).unwrap(), text),
            other => panic!("{other:?}"),
        }
    }
    if !INLINE.contains(&name) {
        text.push('\n');
    }
}

#[test]
fn parsers_read_the_words_of_the_sample() {
    let document = sample();
    assert_eq!(of_markdown(&markdown::write(&document)), said(&document, true));
    assert_eq!(of_html(&html::write(&document)), said(&document, false));
}

#[test]
fn html_says_what_is_what() {
    let page = Html::parse_document(&html::write(&sample()));
    let texts = |selector: &str| -> Vec<String> {
        let selector = Selector::parse(selector).unwrap();
        page.select(&selector)
            .map(|element| element.text().collect::<String>())
            .collect()
    };
    assert_eq!(texts("title"), ["Note P-12"]);
    assert_eq!(texts("th[scope=col]"), ["Movement", "Degrees"]);
    assert_eq!(texts("tbody th[scope=row]"), ["flexion", "extension"]);
    assert_eq!(texts("table > caption"), ["Measured"]);
    assert_eq!(
        texts("figure > svg[role=img][aria-label='One bar.'] text"),
        ["R 81°"]
    );
    assert_eq!(texts("html[lang=en-GB] p em"), ["fits"]);
    assert_eq!(texts("script, link, img, a, iframe, object"), [""; 0]);
}
