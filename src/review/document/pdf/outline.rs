//! The headings, as a reader lists them beside the pages.

use krilla::destination::XyzDestination;
use krilla::geom::Point;
use krilla::outline::{Outline, OutlineNode};

use super::flow::Mark;
use super::measures::{LEFT, TOP};

/// Every heading below the last one that stands higher; a document without any is listed by its title.
pub fn outline(title: &str, headings: Vec<Mark>) -> Outline {
    let mut outline = Outline::new();
    let mut open: Vec<(u8, OutlineNode)> = Vec::new();
    let close = |open: &mut Vec<(u8, OutlineNode)>, outline: &mut Outline| {
        if let Some((_, node)) = open.pop() {
            match open.last_mut() {
                Some((_, parent)) => parent.push_child(node),
                None => outline.push_child(node),
            }
        }
    };
    if headings.is_empty() {
        outline.push_child(node(title, 0, TOP));
    }
    for heading in headings {
        let level = heading.level as u8;
        while open.last().is_some_and(|(other, _)| *other >= level) {
            close(&mut open, &mut outline);
        }
        open.push((level, node(&heading.text, heading.page, heading.y)));
    }
    while !open.is_empty() {
        close(&mut open, &mut outline);
    }
    outline
}

fn node(text: &str, page: usize, y: f32) -> OutlineNode {
    OutlineNode::new(
        text.to_owned(),
        XyzDestination::new(page, Point::from_xy(LEFT, y)),
    )
}
