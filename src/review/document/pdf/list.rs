//! Lists.

use krilla::tagging::ListNumbering;

use super::flow::{Flow, Part, set};
use super::font::Fonts;
use super::line::Line;
use super::measures::{ACROSS, BODY, GAP, INK, LEFT};
use super::structure::Role;
use crate::review::document::text::lines;
use crate::review::document::{List, Run};

/// Between an item and the next.
const BETWEEN: f32 = 2.5;

struct Items {
    numbered: bool,
    /// How far items are set in.
    indent: f32,
    items: Vec<(Line, Vec<Line>)>,
}

pub fn part(fonts: &Fonts, list: &List) -> Option<Box<dyn Part>> {
    let items: Vec<_> = list
        .items
        .iter()
        .map(|item| lines(item))
        .filter(|lines| !lines.is_empty())
        .collect();
    let label = |number: usize| {
        if list.numbered {
            format!("{number}.")
        } else {
            "•".to_owned()
        }
    };
    let labels: Vec<Line> = (1..=items.len())
        .filter_map(|number| set(fonts, &[vec![Run::plain(label(number))]], BODY, ACROSS).pop())
        .collect();
    let widest = labels.iter().map(|label| label.width).fold(0.0, f32::max);
    let indent = widest * BODY.size + 8.0;
    let items = items.iter().map(|item| set(fonts, item, BODY, ACROSS - indent));
    let items: Vec<_> = labels.into_iter().zip(items).collect();
    let numbered = list.numbered;
    (!items.is_empty()).then(|| {
        Box::new(Items {
            numbered,
            indent,
            items,
        }) as Box<dyn Part>
    })
}

impl Part for Items {
    fn lead(&self) -> f32 {
        self.items.first().map_or(0, |item| item.1.len().min(3)) as f32 * BODY.line
    }

    fn place(self: Box<Self>, flow: &mut Flow) {
        let Items {
            numbered,
            indent,
            items,
        } = *self;
        let numbering = if numbered {
            ListNumbering::Decimal
        } else {
            ListNumbering::Disc
        };
        let list = flow.structure.add(None, Role::List(numbering));
        for (label, lines) in items {
            let item = flow.structure.add(Some(list), Role::Item);
            let of_label = flow.structure.add(Some(item), Role::Label);
            let of_body = flow.structure.add(Some(item), Role::Body);
            flow.sheets.need(lines.len().min(3) as f32 * BODY.line);
            let y = flow.sheets.y;
            flow.sheets.text(Some(of_label), (LEFT, y), BODY, INK, label);
            flow.ink(of_body, LEFT + indent, BODY, lines);
            flow.sheets.y += BETWEEN;
        }
        flow.sheets.y += GAP - BETWEEN;
    }
}
