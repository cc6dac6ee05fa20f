//! Names and what they stand for, as two columns.

use krilla::tagging::ListNumbering;

use super::flow::{Flow, Part, set};
use super::font::Fonts;
use super::grid::{GUTTER, Grid, Row};
use super::measures::{ACROSS, CELL, GAP, INK, SOFT};
use super::structure::Role;
use crate::review::document::text::{one_line, plain_lines};
use crate::review::document::{Align, Fact, Run};

/// The most that names take of the width.
const NAMES: f32 = 0.35;

struct Laid {
    grid: Grid,
    rows: Vec<Row>,
}

pub fn part(fonts: &Fonts, facts: &[Fact]) -> Option<Box<dyn Part>> {
    let run = |text: String| vec![Run::plain(text)];
    let name = |fact: &Fact| vec![run(one_line(&fact.name))];
    let value = |fact: &Fact| plain_lines(&fact.value).into_iter().map(run).collect::<Vec<_>>();
    let room = ACROSS * NAMES;
    let names: Vec<_> = facts
        .iter()
        .map(|fact| set(fonts, &name(fact), CELL, room))
        .collect();
    let widest = names
        .iter()
        .flatten()
        .map(|line| line.width * CELL.size)
        .fold(60.0, f32::max);
    let names_across = widest + GUTTER;
    let rows = facts
        .iter()
        .zip(names)
        .map(|(fact, name)| Row(vec![name, set(fonts, &value(fact), CELL, ACROSS - names_across)]));
    let rows: Vec<Row> = rows
        .filter(|row| row.0.iter().any(|cell| !cell.is_empty()))
        .collect();
    let columns = vec![
        (names_across, Align::Start, SOFT),
        (ACROSS - names_across + GUTTER, Align::Start, INK),
    ];
    let grid = Grid {
        columns,
        around: 1.0,
        lined: false,
    };
    (!rows.is_empty()).then(|| Box::new(Laid { grid, rows }) as Box<dyn Part>)
}

impl Part for Laid {
    fn lead(&self) -> f32 {
        self.rows.iter().take(2).map(|row| self.grid.lead(row)).sum()
    }

    fn place(self: Box<Self>, flow: &mut Flow) {
        let list = flow.structure.add(None, Role::List(ListNumbering::None));
        for row in self.rows {
            let item = flow.structure.add(Some(list), Role::Item);
            let ids = [Role::Label, Role::Body].map(|role| flow.structure.add(Some(item), role));
            self.grid.place(flow, row, &ids, &|_| {});
        }
        flow.sheets.y += GAP;
    }
}
