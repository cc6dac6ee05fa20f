//! The writers, built under `#[cfg(test)]` alone.

mod any_text;
mod escaping;
mod pages;
mod pictures;
mod read_back;

use super::*;

/// A small picture in the form of the page's.
const PICTURE: &str = r##"<svg class="picture bars" viewBox="0 0 200 60" role="img" aria-label="not kept">
<title>not kept</title><line class="grid" x1="50" x2="50" y1="4" y2="50"/>
<a href="/client/P-12" aria-label="not kept"><circle class="spot" cx="20" cy="20" r="9"/></a>
<rect class="bar right" x="50" y="10" width="80.5" height="15"/><text class="value" x="140" y="22">R 81°</text></svg>"##;

/// Every kind of block.
fn sample() -> Document {
    let figure = Figure {
        drawing: Drawing::from_svg(PICTURE).unwrap(),
        text: "One bar.".into(),
        caption: "Degrees".into(),
    };
    let table = Table {
        caption: "Measured".into(),
        columns: vec![
            Column::new("Movement"),
            Column::of_numbers("Degrees"),
            Column::new(""),
        ],
        row_headings: true,
        rows: vec![
            vec!["flexion".into(), "110°".into(), "firm\nand more".into()],
            vec!["extension".into()],
        ],
    };
    let run = vec![
        Run::plain("Office: "),
        Run::strong("Żółć, Ἀθῆναι, ёж"),
        Run::emphasis(" fits"),
        Run::plain("."),
    ];
    Document {
        title: "Note P-12".into(),
        language: "en-GB".into(),
        footer: "P-12 · 7 April 2026".into(),
        blocks: vec![
            Block::Heading(Level::One, "Visit note".into()),
            Block::Facts(vec![
                Fact::new("Client", "P-12"),
                Fact::new("Address", "One\nTwo"),
            ]),
            Block::Heading(Level::Two, "Findings".into()),
            Block::Paragraph(run),
            Block::List(List {
                numbered: true,
                items: vec![vec![Run::plain("Walk")], vec![Run::plain("Rest")]],
            }),
            Block::List(List {
                numbered: false,
                items: vec![vec![Run::plain("Stretch")]],
            }),
            Block::Heading(Level::Three, "Hip".into()),
            Block::Table(table),
            Block::Figure(figure),
            Block::Rule,
            Block::Signature("Signed".into()),
        ],
    }
}

#[test]
fn long_text_is_cut_into_paragraphs_at_empty_lines() {
    let blocks = Block::paragraphs("\nOne\ntwo\n \n\nThree\n");
    assert_eq!(blocks, [Block::paragraph("One\ntwo"), Block::paragraph("Three")]);
}

#[test]
fn markdown_reads_as_it_should() {
    let written = markdown::write(&sample());
    let expected = include_str!("sample.md");
    assert_eq!(written, expected, "{written}");
}

#[test]
fn a_document_without_anything_is_written_too() {
    let empty = Document::default();
    assert_eq!(markdown::write(&empty), "\n");
    assert!(html::write(&empty).contains("lang=\"und\""));
    assert!(pdf::write(&empty).unwrap().starts_with(b"%PDF-1.7"));
}
