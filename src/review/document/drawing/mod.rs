//! A drawing of the page, read so that it can be drawn again: on paper, and in a file that stands alone.
//!
//! The page's own pictures get their colours from its style sheet, hold links into it and adapt to light and dark. Here
//! only what is drawn is kept, with the colours of paper ([`look`]). What this reader does not know it refuses: a
//! picture that grows a new element must not lose it silently.

mod look;
mod read;
mod svg;

use kurbo::BezPath;

pub use look::{Colour, Look};
pub use svg::svg;

use super::{Figure, text::one_line};

/// A drawing made by `review::draw`. Its unit is that of its view box; y grows downwards.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// How wide it is; above 0.
    pub width: f64,
    /// How high it is; above 0.
    pub height: f64,
    /// What is drawn, the lowest first.
    pub shapes: Vec<Shape>,
}

/// A thing that is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
    /// What it looks like.
    pub look: Look,
    /// What it is.
    pub form: Form,
}

/// What a [`Shape`] is.
#[derive(Clone, Debug, PartialEq)]
pub enum Form {
    /// Lines and areas.
    Path(BezPath),
    /// A word or a few on one line.
    Text {
        /// Where it is anchored.
        x: f64,
        /// Where its baseline is.
        y: f64,
        /// Which part of it is at `x`.
        anchor: super::Align,
        /// What is written.
        text: String,
    },
}

/// Why a picture can't be read.
#[derive(Debug, PartialEq, thiserror::Error)]
pub enum Error {
    /// It is not XML.
    #[error("the picture is not SVG")]
    Xml,
    /// It has no view box of a size.
    #[error("the picture has no size")]
    Size,
    /// Something in it is not known here: an element, a class, an attribute, or a value of one.
    #[error("the picture holds something unknown: {0}")]
    Unknown(String),
}

impl Drawing {
    /// Reads a picture of `review::draw`.
    ///
    /// # Errors
    /// If it is no SVG or holds anything that these pictures did not hold when this was written.
    pub fn from_svg(svg: &str) -> Result<Drawing, Error> {
        read::drawing(svg)
    }
}

impl Figure {
    /// What it tells, never empty: some formats ask for it.
    pub(super) fn in_words(&self) -> &str {
        let said = [&self.text, &self.caption]
            .into_iter()
            .find(|text| !one_line(text).is_empty());
        said.map_or("–", String::as_str)
    }
}
