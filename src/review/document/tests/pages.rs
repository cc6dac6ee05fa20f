//! The PDF, as Poppler's programs read it. Built under `#[cfg(test)]` alone.

use std::process::Command;
use std::time::Instant;

use super::read_back::said;
use super::*;

/// What one of Poppler's programs prints of a file.
fn read(program: &str, options: &[&str], file: &[u8]) -> String {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("document.pdf");
    std::fs::write(&path, file).unwrap();
    let mut command = Command::new(program);
    command.args(options).arg(&path);
    if program == "pdftotext" {
        command.arg("-");
    }
    let output = command
        .output()
        .unwrap_or_else(|error| panic!("{program} (poppler-utils): {error}"));
    assert!(output.status.success(), "{output:?}");
    String::from_utf8(output.stdout).unwrap()
}

fn long_table(rows: usize) -> Document {
    let row = |number: usize| {
        vec![
            number.to_string(),
            "flexion, passive".to_owned(),
            format!("{}°", number % 130),
        ]
    };
    let table = Table {
        caption: "Measured".into(),
        columns: vec![
            Column::of_numbers("Number"),
            Column::new("Movement"),
            Column::of_numbers("Degrees"),
        ],
        row_headings: false,
        rows: (1..=rows).map(row).collect(),
    };
    Document {
        blocks: vec![Block::Table(table)],
        ..sample()
    }
}

#[test]
fn the_same_document_gives_the_same_bytes() {
    assert_eq!(pdf::write(&sample()), pdf::write(&sample()));
}

#[test]
fn every_word_is_read_in_order() {
    let document = sample();
    let read = read("pdftotext", &["-raw"], &pdf::write(&document).unwrap());
    let mut read = read.split_whitespace();
    for word in said(&document, false) {
        assert!(read.any(|other| other == word), "{word}");
    }
    assert_eq!(read.next_back(), Some("1"));
}

#[test]
fn letters_that_are_not_in_the_font_are_still_in_the_text() {
    let blocks = vec![Block::paragraph("a 日 b 😀 c")];
    let file = pdf::write(&Document { blocks, ..sample() }).unwrap();
    let read = read("pdftotext", &[], &file);
    assert!(read.contains('日') && read.contains('😀'), "{read}");
    assert_eq!(
        pdf::not_printed("a 日 b 😀 c Żółć Ἀθῆναι ёж ½×≥≤→°±–…"),
        ['日', '😀']
    );
}

#[test]
fn it_says_what_it_is_and_what_it_is_made_of() {
    let file = pdf::write(&sample()).unwrap();
    let about = read("pdfinfo", &["-struct"], &file);
    let parts = [
        "H1", "H2", "H3", "P ", "L ", "LI", "Lbl", "LBody", "Table", "THead", "TBody", "TR", "TH", "TD",
        "Figure", "Caption",
    ];
    let missing: Vec<_> = parts.iter().filter(|part| !about.contains(**part)).collect();
    assert!(missing.is_empty(), "{missing:?} in {about}");
    let about = read("pdfinfo", &[], &file);
    let is = |name: &str, value: &str| {
        about
            .lines()
            .any(|line| line.starts_with(name) && line.contains(value))
    };
    assert!(
        is("Title:", " Note P-12") && is("Tagged:", " yes") && is("Page size:", "A4"),
        "{about}"
    );
    assert!(!is("CreationDate", ""), "{about}");
    let fonts = read("pdffonts", &[], &file);
    let embedded = |line: &str| line.contains("+NotoSans") && line.contains("yes yes yes");
    assert!(
        fonts.lines().count() == 5 && fonts.lines().skip(2).all(embedded),
        "{fonts}"
    );
    let text = String::from_utf8_lossy(&file);
    assert!(text.contains("/Lang (en-GB)") && text.contains("<pdfuaid:part>1</pdfuaid:part>"));
}

#[test]
fn a_long_table_has_its_heading_on_every_page() {
    let read = read("pdftotext", &["-layout"], &pdf::write(&long_table(300)).unwrap());
    let pages: Vec<&str> = read.trim_end_matches('\u{c}').split('\u{c}').collect();
    assert!(pages.len() > 6, "{}", pages.len());
    let mut next = 1;
    for (place, page) in pages.iter().enumerate() {
        assert_eq!(page.matches("Number").count(), 1, "{page}");
        let number = format!("{}/{}", place + 1, pages.len());
        assert!(page.replace(' ', "").contains(&number), "{page}");
        for line in page.lines().filter(|line| line.contains("flexion")) {
            assert_eq!(line.split_whitespace().next(), Some(next.to_string().as_str()));
            next += 1;
        }
    }
    assert_eq!(next, 301);
}

#[test]
fn what_is_long_goes_on_on_the_next_page() {
    let many: String = (0..4000).map(|number| format!("w{number} ")).collect();
    let table = Table {
        rows: vec![vec!["x".into(), many.clone()]],
        ..Table::default()
    };
    let list = List {
        numbered: true,
        items: vec![vec![Run::plain(&many)]],
    };
    let blocks = vec![
        Block::paragraph(&many),
        Block::Table(table),
        Block::List(list),
        Block::Signature(many),
    ];
    let file = pdf::write(&Document {
        blocks,
        ..Document::default()
    })
    .unwrap();
    let read = read("pdftotext", &["-raw"], &file);
    let words: Vec<&str> = read
        .split_whitespace()
        .filter(|word| word.starts_with('w'))
        .collect();
    assert_eq!(words.len(), 16_000);
    assert!(
        words
            .iter()
            .enumerate()
            .all(|(place, word)| *word == format!("w{}", place % 4000))
    );
}

#[test]
fn no_heading_stands_at_the_end_of_a_page() {
    for lines in 0..60 {
        let mut document = long_table(3);
        document.blocks.insert(0, Block::paragraph("x\n".repeat(lines)));
        document
            .blocks
            .insert(1, Block::Heading(Level::Two, "Heading".into()));
        document
            .blocks
            .insert(2, Block::Heading(Level::Three, "Another".into()));
        let read = read("pdftotext", &["-layout"], &pdf::write(&document).unwrap());
        let page = read.split('\u{c}').find(|page| page.contains("Heading")).unwrap();
        assert!(
            page.contains("Another") && page.contains("Number") && page.contains("flexion"),
            "{lines}: {page}"
        );
    }
}

/// Run it with `--nocapture` to read the times.
#[test]
fn a_table_of_three_hundred_rows() {
    let document = long_table(300);
    let begin = Instant::now();
    let size = pdf::write(&document).unwrap().len();
    println!(
        "300 rows as PDF: {} ms, {} kB",
        begin.elapsed().as_millis(),
        size / 1000
    );
}
