//! Drawings → ink, sharp at every size.

use krilla::geom::{Path, PathBuilder, Point, Transform};
use krilla::paint::{LineJoin, StrokeDash};
use krilla::surface::Surface;
use kurbo::{BezPath, PathEl};

use super::font::Fonts;
use super::line::{Line, Shaped};
use super::paint::{fill, stroke, text};
use crate::review::document::drawing::{Drawing, Form, Look, Shape};
use crate::review::document::text::one_line;
use crate::review::document::{Align, Run};

/// Paints with the upper left corner at `x`, `y`, and `scale` points to a unit.
pub fn paint(surface: &mut Surface<'_>, fonts: &Fonts, (x, y): (f32, f32), scale: f32, drawing: &Drawing) {
    surface.push_transform(&Transform::from_row(scale, 0.0, 0.0, scale, x, y));
    for Shape { look, form } in &drawing.shapes {
        match form {
            Form::Path(path) => {
                if let Some(path) = steps(path) {
                    surface.set_fill(look.fill.map(fill));
                    surface.set_stroke(look.stroke.map(|colour| {
                        let mut stroke = stroke(colour, look.width as f32);
                        stroke.dash = look.dash.map(|[on, off]| StrokeDash {
                            array: vec![on as f32, off as f32],
                            offset: 0.0,
                        });
                        stroke
                    }));
                    surface.draw_path(&path);
                }
            }
            Form::Text { x, y, anchor, text } => {
                let text = one_line(text);
                let run = if look.bold {
                    Run::strong(text)
                } else {
                    Run::plain(text)
                };
                for line in Shaped::new(fonts, &[run]).lines(f32::INFINITY) {
                    let across = line.width * look.size as f32;
                    let by = match anchor {
                        Align::Start => 0.0,
                        Align::Middle => across / 2.0,
                        Align::End => across,
                    };
                    words(surface, fonts, (*x as f32 - by, *y as f32), look, &line);
                }
            }
        }
    }
    surface.pop();
}

fn words(surface: &mut Surface<'_>, fonts: &Fonts, at: (f32, f32), look: &Look, line: &Line) {
    let size = look.size as f32;
    if look.halo {
        // As outlines: it is not text a second time.
        for piece in &line.pieces {
            let mut stroke = stroke([255, 255, 255], 4.0);
            stroke.line_join = LineJoin::Round;
            surface.set_fill(None);
            surface.set_stroke(Some(stroke));
            let from = Point::from_xy(at.0 + piece.x * size, at.1);
            let font = fonts.face(piece.style).font.clone();
            surface.draw_glyphs(from, &piece.glyphs, font, &piece.text, size, true);
        }
    }
    text(surface, fonts, at, size, look.fill.unwrap_or_default(), line);
}

fn steps(path: &BezPath) -> Option<Path> {
    let mut steps = PathBuilder::new();
    let f = |point: kurbo::Point| (point.x as f32, point.y as f32);
    for step in path.elements() {
        match *step {
            PathEl::MoveTo(to) => steps.move_to(f(to).0, f(to).1),
            PathEl::LineTo(to) => steps.line_to(f(to).0, f(to).1),
            PathEl::QuadTo(by, to) => steps.quad_to(f(by).0, f(by).1, f(to).0, f(to).1),
            PathEl::CurveTo(by, and, to) => {
                steps.cubic_to(f(by).0, f(by).1, f(and).0, f(and).1, f(to).0, f(to).1);
            }
            PathEl::ClosePath => steps.close(),
        }
    }
    steps.finish()
}
