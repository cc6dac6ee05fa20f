//! SVG → [`Drawing`].

use kurbo::{BezPath, Circle, Line, Point, Rect, Shape as _};
use roxmltree::{Document, Node};

use super::{Drawing, Error, Form, Look, Shape};
use crate::review::document::Align;

/// What tells nothing about the looks, or is read with its element.
const KNOWN: [&str; 21] = [
    "class",
    "role",
    "aria-label",
    "href",
    "viewBox",
    "text-anchor",
    "x",
    "y",
    "x1",
    "x2",
    "y1",
    "y2",
    "cx",
    "cy",
    "r",
    "width",
    "height",
    "points",
    "d",
    "rx",
    "ry",
];

/// How far a circle may be from a true one, in units of the drawing.
const ROUND: f64 = 0.01;

pub fn drawing(svg: &str) -> Result<Drawing, Error> {
    let tree = Document::parse(svg).map_err(|_| Error::Xml)?;
    let root = tree.root_element();
    if root.tag_name().name() != "svg" {
        return Err(Error::Xml);
    }
    known(root)?;
    let size: Vec<f64> = numbers(root.attribute("viewBox").ok_or(Error::Size)?)?;
    let [0.0, 0.0, width, height] = size[..] else {
        return Err(Error::Size);
    };
    if width <= 0.0 || height <= 0.0 {
        return Err(Error::Size);
    }
    let mut shapes = Vec::new();
    inner(root, false, &mut shapes)?;
    Ok(Drawing {
        width,
        height,
        shapes,
    })
}

fn inner(parent: Node<'_, '_>, detail: bool, shapes: &mut Vec<Shape>) -> Result<(), Error> {
    for node in parent.children().filter(Node::is_element) {
        known(node)?;
        match node.tag_name().name() {
            // Its words are the figure's text.
            "title" => {}
            // Links lead into the page: what they hold is drawn, they are left out.
            "g" | "a" => inner(node, detail || node.attribute("class") == Some("detail"), shapes)?,
            name => {
                let class = node.attribute("class").unwrap_or_default();
                let look =
                    Look::of(class, detail).ok_or_else(|| Error::Unknown(format!("class {class:?}")))?;
                let form = form(node, name)?;
                shapes.push(Shape { look, form });
            }
        }
    }
    Ok(())
}

fn known(node: Node<'_, '_>) -> Result<(), Error> {
    match node
        .attributes()
        .find(|attribute| !KNOWN.contains(&attribute.name()))
    {
        Some(unknown) => Err(Error::Unknown(format!("attribute {:?}", unknown.name()))),
        None => Ok(()),
    }
}

fn form(node: Node<'_, '_>, name: &str) -> Result<Form, Error> {
    let at = |name: &str| number(node.attribute(name).unwrap_or("0"));
    let path = match name {
        "rect" => {
            let (x, y) = (at("x")?, at("y")?);
            Rect::new(x, y, x + at("width")?, y + at("height")?).to_path(ROUND)
        }
        "line" => Line::new((at("x1")?, at("y1")?), (at("x2")?, at("y2")?)).to_path(ROUND),
        "circle" => Circle::new((at("cx")?, at("cy")?), at("r")?).to_path(ROUND),
        "polyline" => {
            let ends = numbers(node.attribute("points").unwrap_or_default())?;
            let mut points = ends.chunks_exact(2).map(|pair| Point::new(pair[0], pair[1]));
            let mut path = BezPath::new();
            path.extend(points.next().map(kurbo::PathEl::MoveTo));
            path.extend(points.map(kurbo::PathEl::LineTo));
            path
        }
        "path" => BezPath::from_svg(node.attribute("d").unwrap_or_default())
            .map_err(|_| Error::Unknown("a path".to_owned()))?,
        "text" => {
            let anchor = match node.attribute("text-anchor") {
                None => Align::Start,
                Some("middle") => Align::Middle,
                Some("end") => Align::End,
                Some(other) => return Err(Error::Unknown(format!("anchor {other:?}"))),
            };
            let text = node.text().unwrap_or_default().to_owned();
            return Ok(Form::Text {
                x: at("x")?,
                y: at("y")?,
                anchor,
                text,
            });
        }
        other => return Err(Error::Unknown(format!("element {other:?}"))),
    };
    Ok(Form::Path(path))
}

fn number(text: &str) -> Result<f64, Error> {
    let number = text.trim().parse().ok().filter(|number: &f64| number.is_finite());
    number.ok_or_else(|| Error::Unknown(format!("number {text:?}")))
}

fn numbers(text: &str) -> Result<Vec<f64>, Error> {
    let parts = text.split([',', ' ', '\n', '\t']).filter(|part| !part.is_empty());
    parts.map(number).collect()
}
