//! As PDF: pages of A4 with text that can be selected, searched and read aloud.
//!
//! Blocks are laid onto pages (`flow`, and a file for each kind of block), each thing drawn knowing the element that it
//! belongs to (`structure`); then the pages are painted (`paint`). The file meets PDF/UA-1 as far as a program can tell:
//! what does not is an error. The same document gives the same bytes.

mod cells;
mod columns;
mod drawing;
mod facts;
mod figure;
mod flow;
mod font;
mod footer;
mod grid;
mod heading;
mod line;
mod list;
mod measures;
mod outline;
mod paint;
mod paragraph;
mod sheet;
mod signature;
mod structure;
mod table;

use krilla::SerializeSettings;
use krilla::configure::{Configuration, Validator};
use krilla::error::KrillaError;
use krilla::metadata::Metadata;

use self::flow::Flow;
use self::font::Fonts;
use self::footer::Footer;
use self::sheet::Sheets;
use self::structure::Structure;
use super::text::one_line;
use super::{Document, Style};

/// Why no PDF was written. It holds nothing of what the document says.
#[derive(Debug, PartialEq, thiserror::Error)]
pub enum Error {
    /// The font carried with the program can't be read or embedded.
    #[error("the font for PDF files is damaged")]
    Font,
    /// The document does not meet PDF/UA-1.
    #[error("the document can't be written as an accessible PDF")]
    Standard,
    /// Something else.
    #[error("the PDF could not be written")]
    Written,
}

/// The whole file.
///
/// # Errors
/// If the library that writes it can't.
pub fn write(document: &Document) -> Result<Vec<u8>, Error> {
    let fonts = Fonts::carried()?;
    let footer = Footer::new(&fonts, &document.footer);
    let mut flow = Flow {
        sheets: Sheets::new(footer.more()),
        structure: Structure::default(),
        headings: Vec::new(),
    };
    flow.blocks(&fonts, &document.blocks);
    let Flow {
        sheets,
        mut structure,
        headings,
    } = flow;

    let mut pdf = krilla::Document::new_with(SerializeSettings {
        configuration: Configuration::new_with_validator(Validator::UA1),
        ..SerializeSettings::default()
    });
    let count = sheets.pages.len();
    let footers: Vec<_> = (1..=count)
        .map(|number| footer.marks(&fonts, number, count))
        .collect();
    paint::pages(&mut pdf, &fonts, sheets.pages, &footers, &mut structure)?;
    let mut title = one_line(&document.title);
    if title.is_empty() {
        title = headings
            .first()
            .map_or("–".to_owned(), |heading| heading.text.clone());
    }
    pdf.set_outline(outline::outline(&title, headings));
    pdf.set_metadata(
        Metadata::new()
            .title(title)
            .language(document.language_tag().to_owned()),
    );
    pdf.set_tag_tree(structure.tree(document.language_tag()));
    pdf.finish().map_err(|error| match error {
        KrillaError::Font(..) => Error::Font,
        KrillaError::Validation(_) => Error::Standard,
        _ => Error::Written,
    })
}

/// The letters of a text that [`write`] prints as a white square, each once: its font has Latin, Greek and Cyrillic.
/// Who copies them from the PDF still gets the letters themselves.
pub fn not_printed(text: &str) -> Vec<char> {
    let Ok(fonts) = Fonts::carried() else {
        return Vec::new();
    };
    let mut lacking: Vec<char> = one_line(text)
        .chars()
        .filter(|c| !fonts.face(Style::Plain).has(*c))
        .collect();
    lacking.sort_unstable();
    lacking.dedup();
    lacking
}
