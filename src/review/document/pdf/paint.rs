//! Pages → ink.

use krilla::Document;
use krilla::color::rgb;
use krilla::geom::{PathBuilder, Point};
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, Stroke};
use krilla::surface::Surface;
use krilla::tagging::{ArtifactType, ContentTag, SpanTag};

use super::Error;
use super::drawing;
use super::font::Fonts;
use super::line::Line;
use super::measures::PAGE;
use super::sheet::{Ink, Mark};
use super::structure::Structure;
use crate::review::document::drawing::Colour;

/// Paints the pages, each with its foot, and tells the structure which content belongs to which element.
pub fn pages(
    pdf: &mut Document,
    fonts: &Fonts,
    pages: Vec<Vec<Mark>>,
    footers: &[Vec<Mark>],
    structure: &mut Structure,
) -> Result<(), Error> {
    for (marks, footer) in pages.into_iter().zip(footers) {
        let settings = PageSettings::from_wh(PAGE.0, PAGE.1).ok_or(Error::Written)?;
        let mut page = pdf.start_page_with(settings);
        let mut surface = page.surface();
        for mark in &marks {
            let tag = match (mark.of, &mark.ink) {
                (None, _) => ContentTag::Artifact(ArtifactType::Other),
                (Some(_), Ink::Drawing { .. }) => ContentTag::Other,
                (Some(_), _) => ContentTag::Span(SpanTag::empty()),
            };
            let content = surface.start_tagged(tag);
            if let Some(id) = mark.of {
                structure.holds(id, content);
            }
            ink(&mut surface, fonts, &mark.ink);
            surface.end_tagged();
        }
        for mark in footer {
            surface.start_tagged(ContentTag::Artifact(ArtifactType::Footer));
            ink(&mut surface, fonts, &mark.ink);
            surface.end_tagged();
        }
    }
    Ok(())
}

fn ink(surface: &mut Surface<'_>, fonts: &Fonts, ink: &Ink) {
    match ink {
        Ink::Text {
            x,
            y,
            size,
            colour,
            line,
        } => text(surface, fonts, (*x, *y), *size, *colour, line),
        Ink::Rule {
            x,
            y,
            across,
            width,
            colour,
        } => {
            let mut path = PathBuilder::new();
            path.move_to(*x, *y);
            path.line_to(x + across, *y);
            if let Some(path) = path.finish() {
                surface.set_fill(None);
                surface.set_stroke(Some(stroke(*colour, *width)));
                surface.draw_path(&path);
            }
        }
        Ink::Drawing { x, y, scale, drawing } => drawing::paint(surface, fonts, (*x, *y), *scale, drawing),
    }
}

/// A line of text with its baseline at `y`.
pub fn text(
    surface: &mut Surface<'_>,
    fonts: &Fonts,
    (x, y): (f32, f32),
    size: f32,
    colour: Colour,
    line: &Line,
) {
    surface.set_stroke(None);
    surface.set_fill(Some(fill(colour)));
    for piece in &line.pieces {
        let at = Point::from_xy(x + piece.x * size, y);
        let font = fonts.face(piece.style).font.clone();
        surface.draw_glyphs(at, &piece.glyphs, font, &piece.text, size, false);
    }
}

pub fn fill(colour: Colour) -> Fill {
    Fill {
        paint: paint(colour).into(),
        opacity: NormalizedF32::ONE,
        ..Fill::default()
    }
}

pub fn stroke(colour: Colour, width: f32) -> Stroke {
    Stroke {
        paint: paint(colour).into(),
        width,
        ..Stroke::default()
    }
}

fn paint([red, green, blue]: Colour) -> rgb::Color {
    rgb::Color::new(red, green, blue)
}
