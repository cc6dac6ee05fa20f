//! A document for people – a note of a visit, a report, a letter – and its three writers.
//!
//! [`Document`] says what stands there, not how it looks. [`markdown::write`] makes text of it, [`html::write`] one file
//! for a browser, [`pdf::write`] pages to print or send. All of them write the same words: what is typed by people is
//! only ever text, white space in it is that of [`text`], and nothing depends on the clock.

pub mod drawing;
pub mod html;
pub mod markdown;
pub mod pdf;
mod text;

#[cfg(test)]
mod tests;

pub use drawing::Drawing;

/// What is written for people, from top to bottom.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Document {
    /// The name of the document in a window's title and a file's properties. It is not printed: a heading is.
    pub title: String,
    /// The language that it is written in, as a BCP 47 tag: `en`, `en-GB`.
    pub language: String,
    /// What stands at the foot of every page, such as the client's code and a date; may be empty.
    pub footer: String,
    /// What it says.
    pub blocks: Vec<Block>,
}

/// A part of a [`Document`]. Parts without any text leave no trace.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// A heading, on one line.
    Heading(Level, String),
    /// A paragraph; a line break in it stays one.
    Paragraph(Vec<Run>),
    /// A list.
    List(List),
    /// Names with what they stand for, such as `Client` and a code.
    Facts(Vec<Fact>),
    /// A table.
    Table(Table),
    /// A drawing.
    Figure(Figure),
    /// A line to sign on, and what stands below it.
    Signature(String),
    /// A line across the page.
    Rule,
}

impl Block {
    /// A paragraph without emphasis.
    pub fn paragraph(text: impl Into<String>) -> Block {
        Block::Paragraph(vec![Run::plain(text)])
    }

    /// The paragraphs of a longer text, which are apart by an empty line.
    pub fn paragraphs(text: &str) -> Vec<Block> {
        let lines: Vec<&str> = text.lines().map(str::trim).collect();
        lines
            .split(|line| line.is_empty())
            .filter(|lines| !lines.is_empty())
            .map(|lines| Block::paragraph(lines.join("\n")))
            .collect()
    }
}

/// How deep a heading stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Of the whole document.
    One = 1,
    /// Of a section.
    Two,
    /// Of a part of a section.
    Three,
}

/// Text of one kind. Runs follow each other without a space.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Run {
    /// What is written.
    pub text: String,
    /// How much it stands out.
    pub style: Style,
}

impl Run {
    /// Ordinary text.
    pub fn plain(text: impl Into<String>) -> Run {
        let (text, style) = (text.into(), Style::Plain);
        Run { text, style }
    }

    /// Text that must not be overlooked.
    pub fn strong(text: impl Into<String>) -> Run {
        let (text, style) = (text.into(), Style::Strong);
        Run { text, style }
    }

    /// Text that is stressed.
    pub fn emphasis(text: impl Into<String>) -> Run {
        let (text, style) = (text.into(), Style::Emphasis);
        Run { text, style }
    }
}

/// How much text stands out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Style {
    /// Not at all.
    #[default]
    Plain,
    /// Bold.
    Strong,
    /// Italic.
    Emphasis,
}

/// Items one below the other.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct List {
    /// Whether they are numbered, from 1.
    pub numbered: bool,
    /// Each item as a paragraph.
    pub items: Vec<Vec<Run>>,
}

/// A name and what it stands for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Fact {
    /// Such as `Date of visit`.
    pub name: String,
    /// What is so; a line break in it stays one.
    pub value: String,
}

impl Fact {
    /// `name` stands for `value`.
    pub fn new(name: impl Into<String>, value: impl Into<String>) -> Fact {
        let (name, value) = (name.into(), value.into());
        Fact { name, value }
    }
}

/// A table. A row may be shorter than `columns`, then its last cells are empty; or longer, then its last columns have
/// no heading.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// What it shows; may be empty.
    pub caption: String,
    /// Its columns.
    pub columns: Vec<Column>,
    /// Whether the first cell of each row says what the row is about.
    pub row_headings: bool,
    /// The cells, row by row.
    pub rows: Vec<Vec<String>>,
}

/// A column of a [`Table`].
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Column {
    /// What stands above it; may be empty.
    pub heading: String,
    /// Where its cells are set.
    pub align: Align,
}

impl Column {
    /// One whose cells begin at the left.
    pub fn new(heading: impl Into<String>) -> Column {
        let (heading, align) = (heading.into(), Align::Start);
        Column { heading, align }
    }

    /// One of numbers, set at the right.
    pub fn of_numbers(heading: impl Into<String>) -> Column {
        let (heading, align) = (heading.into(), Align::End);
        Column { heading, align }
    }
}

/// Where the text of a cell is set.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Align {
    /// At the left.
    #[default]
    Start,
    /// In the middle.
    Middle,
    /// At the right.
    End,
}

/// A drawing with the same in words.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// What is drawn.
    pub drawing: Drawing,
    /// What the drawing tells, for those who can't see it. Markdown has this alone.
    pub text: String,
    /// What stands below the drawing; may be empty.
    pub caption: String,
}
