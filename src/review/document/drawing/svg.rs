//! [`Drawing`] → SVG that needs no style sheet.

use std::fmt::Write as _;

use kurbo::{PathEl, Point};

use super::{Colour, Drawing, Form, Look, Shape};
use crate::review::document::Align;
use crate::review::document::html::escaped;
use crate::review::document::text::one_line;

/// An element to be put into a page; `label` is what it tells, already escaped.
pub fn svg(drawing: &Drawing, label: &str) -> String {
    let (width, height) = (place(drawing.width), place(drawing.height));
    let mut svg = format!("<svg viewBox=\"0 0 {width} {height}\" role=\"img\" aria-label=\"{label}\">\n");
    for shape in &drawing.shapes {
        svg.push_str(&self::shape(shape));
    }
    svg + "</svg>\n"
}

fn shape(Shape { look, form }: &Shape) -> String {
    match form {
        Form::Path(path) => {
            let mut steps = String::new();
            for step in path.elements() {
                let _ = match step {
                    PathEl::MoveTo(to) => write!(steps, "M{}", point(*to)),
                    PathEl::LineTo(to) => write!(steps, "L{}", point(*to)),
                    PathEl::QuadTo(by, to) => write!(steps, "Q{} {}", point(*by), point(*to)),
                    PathEl::CurveTo(by, and, to) => {
                        write!(steps, "C{} {} {}", point(*by), point(*and), point(*to))
                    }
                    PathEl::ClosePath => write!(steps, "Z"),
                };
            }
            format!("<path{} d=\"{steps}\"/>\n", paint(look))
        }
        Form::Text { x, y, anchor, text } => {
            let anchor = match anchor {
                Align::Start => "",
                Align::Middle => " text-anchor=\"middle\"",
                Align::End => " text-anchor=\"end\"",
            };
            let weight = if look.bold { " font-weight=\"700\"" } else { "" };
            let halo = match look.halo {
                true => {
                    " paint-order=\"stroke\" stroke=\"#ffffff\" stroke-width=\"5\" stroke-linejoin=\"round\""
                }
                false => "",
            };
            format!(
                "<text x=\"{}\" y=\"{}\" font-size=\"{}\"{anchor}{weight}{}{halo}>{}</text>\n",
                place(*x),
                place(*y),
                place(look.size),
                paint(look),
                escaped(&one_line(text)),
            )
        }
    }
}

fn paint(look: &Look) -> String {
    let mut paint = format!(" fill=\"{}\"", look.fill.map_or("none".to_owned(), colour));
    if let Some(stroke) = look.stroke {
        let _ = write!(
            paint,
            " stroke=\"{}\" stroke-width=\"{}\"",
            colour(stroke),
            place(look.width)
        );
    }
    if let Some([on, off]) = look.dash {
        let _ = write!(paint, " stroke-dasharray=\"{} {}\"", place(on), place(off));
    }
    paint
}

fn colour([red, green, blue]: Colour) -> String {
    format!("#{red:02x}{green:02x}{blue:02x}")
}

fn point(at: Point) -> String {
    format!("{} {}", place(at.x), place(at.y))
}

/// To a hundredth of a unit, which nobody sees.
fn place(number: f64) -> f64 {
    (number * 100.0).round() / 100.0
}
