//! What people type is text wherever it stands. Built under `#[cfg(test)]` alone.

use super::read_back::{of_html, of_markdown, said};
use super::*;

/// What would be markup somewhere.
pub const MARKUP: [&str; 40] = [
    "<script>alert(1)</script>",
    "</style><b>",
    "\"onload=\"x",
    "' x='",
    "&lt;b&gt;",
    "&amp;",
    "<!-- x -->",
    "]]>",
    "# a",
    "## a #",
    "- a",
    "* a",
    "+ a",
    "1. a",
    "12) a",
    "> a",
    "---",
    "===",
    "***",
    "```",
    "~~~ x",
    "`a`",
    "**a**",
    "_a_",
    "__a__",
    "~~a~~",
    "[a](b)",
    "![a](b)",
    "[a]: b",
    "<a@b.c>",
    "https://a.b/c",
    "www.a.b",
    "a | b",
    "|---|",
    "\\",
    "\\|",
    "a\\",
    "{{ a }}",
    "$$a$$",
    ": a",
];

/// A document that has a text in every place.
pub fn all_over(text: &str) -> Document {
    let run = || {
        vec![
            Run::plain(text),
            Run::strong(text),
            Run::plain("x"),
            Run::emphasis(text),
            Run::plain("y"),
        ]
    };
    let mut document = sample();
    document.title = text.into();
    document.language = text.into();
    document.footer = text.into();
    for block in &mut document.blocks {
        match block {
            Block::Heading(_, own) | Block::Signature(own) => *own = text.into(),
            Block::Paragraph(own) => *own = run(),
            Block::List(list) => list.items = vec![run(), run()],
            Block::Facts(facts) => *facts = vec![Fact::new(text, text), Fact::new("name", text)],
            Block::Table(table) => {
                table.caption = text.into();
                table.columns = vec![Column::new(text), Column::of_numbers(text)];
                table.rows = vec![vec![text.into(); 3], vec!["a".into(), text.into()]];
            }
            Block::Figure(figure) => (figure.caption, figure.text) = (text.into(), text.into()),
            Block::Rule => {}
        }
    }
    document
}

#[test]
fn markup_is_text_in_every_place() {
    for text in MARKUP {
        let document = all_over(text);
        assert_eq!(
            of_markdown(&markdown::write(&document)),
            said(&document, true),
            "{text}"
        );
        assert_eq!(of_html(&html::write(&document)), said(&document, false), "{text}");
        pdf::write(&document).unwrap();
    }
}

#[test]
fn the_words_of_a_picture_are_text_too() {
    let picture = PICTURE.replace("R 81°", "&lt;b&gt; &amp;amp;");
    let drawing = Drawing::from_svg(&picture).unwrap();
    let figure = Figure {
        drawing,
        text: "<i>".into(),
        caption: String::new(),
    };
    let document = Document {
        blocks: vec![Block::Figure(figure)],
        ..Document::default()
    };
    let written = html::write(&document);
    assert_eq!(of_html(&written), ["<b>", "&amp;"]);
    assert!(
        written.contains("aria-label=\"&lt;i&gt;\"") && !written.contains("href"),
        "{written}"
    );
}

#[test]
fn emphasis_is_marked_where_it_counts() {
    let written = |runs: &[Run]| {
        let blocks = vec![Block::Paragraph(runs.to_vec())];
        markdown::write(&Document {
            blocks,
            ..Document::default()
        })
    };
    let [strong, emphasis] = [Run::strong("two (of) ten"), Run::emphasis("two")];
    assert_eq!(
        written(&[Run::plain("a "), strong.clone(), Run::plain(".")]),
        "a **two (of) ten**.\n"
    );
    assert_eq!(written(&[strong, emphasis.clone()]), "**two (of) ten**_two_\n");
    assert_eq!(written(&[emphasis.clone(), Run::plain(". a")]), "_two_. a\n");
    assert_eq!(written(&[Run::plain("a"), emphasis]), "atwo\n");
}
