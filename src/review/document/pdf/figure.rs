//! Drawings.

use std::rc::Rc;

use super::flow::{Flow, Part, set};
use super::font::Fonts;
use super::line::Line;
use super::measures::{ACROSS, GAP, LEFT, SMALL, SOFT};
use super::sheet::Ink;
use super::structure::Role;
use crate::review::document::text::one_line;
use crate::review::document::{Drawing, Figure, Run};

/// Points to a unit of the drawing, at most: its letters are then as large as those of a table.
const LARGEST: f32 = 0.72;
/// How much of a page it takes at most.
const TALLEST: f32 = 560.0;
const ABOVE_CAPTION: f32 = 4.0;

struct Laid {
    drawing: Rc<Drawing>,
    scale: f32,
    text: String,
    caption: Vec<Line>,
}

pub fn part(fonts: &Fonts, figure: &Figure) -> Box<dyn Part> {
    let drawing = Rc::new(figure.drawing.clone());
    let scale = LARGEST
        .min(ACROSS / drawing.width as f32)
        .min(TALLEST / drawing.height as f32);
    let text = one_line(figure.in_words());
    let caption = set(
        fonts,
        &[vec![Run::plain(one_line(&figure.caption))]],
        SMALL,
        ACROSS,
    );
    Box::new(Laid {
        drawing,
        scale,
        text,
        caption,
    })
}

impl Laid {
    fn height(&self) -> f32 {
        self.drawing.height as f32 * self.scale
    }
}

impl Part for Laid {
    fn lead(&self) -> f32 {
        self.height() + ABOVE_CAPTION + self.caption.len().min(3) as f32 * SMALL.line
    }

    fn place(self: Box<Self>, flow: &mut Flow) {
        let height = self.height();
        let Laid {
            drawing,
            scale,
            text,
            caption,
        } = *self;
        let id = flow.structure.add(None, Role::Figure(text));
        let y = flow.sheets.y;
        flow.sheets.put(
            Some(id),
            Ink::Drawing {
                x: LEFT,
                y,
                scale,
                drawing,
            },
        );
        flow.sheets.y += height + ABOVE_CAPTION;
        if !caption.is_empty() {
            let id = flow.structure.add(None, Role::Caption);
            flow.lines(id, LEFT, SMALL, SOFT, caption);
        }
        flow.sheets.y += GAP * 1.5;
    }
}
