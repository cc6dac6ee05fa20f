//! Tables. Their heading is repeated on every page that they go on to.

use super::cells::Cells;
use super::columns::widths;
use super::flow::{Flow, Part, set};
use super::font::Fonts;
use super::grid::{GUTTER, Grid, Row};
use super::line::Line;
use super::measures::{ACROSS, CELL, GAP, INK, LEFT};
use super::structure::{Id, Role};
use crate::review::document::text::one_line;
use crate::review::document::{Run, Table};

const BELOW_CAPTION: f32 = 3.0;
/// A heading that takes more of a page than this is not repeated.
const TALL: f32 = 0.3;

struct Laid {
    caption: Vec<Line>,
    grid: Grid,
    head: Option<Row>,
    rows: Vec<Row>,
    /// Of each row, whether its first cell is a heading.
    row_headings: Vec<bool>,
}

pub fn part(fonts: &Fonts, table: &Table) -> Option<Box<dyn Part>> {
    let columns = table.all_columns();
    if columns.is_empty() {
        return None;
    }
    let cells = Cells::new(fonts, table);
    let widths = widths(&cells.wishes(), ACROSS + GUTTER);
    let (head, rows) = cells.broken(&widths);
    let columns = widths.iter().zip(&columns);
    let columns = columns
        .map(|(width, column)| (*width, column.align, INK))
        .collect();
    let caption = vec![Run::strong(one_line(&table.caption))];
    let filled = |row: &Row| row.0.iter().any(|cell| !cell.is_empty());
    let heads_row = |row: &Row| table.row_headings && !row.0[0].is_empty();
    Some(Box::new(Laid {
        caption: set(fonts, &[caption], CELL, ACROSS),
        head: filled(&head).then_some(head),
        row_headings: rows.iter().map(heads_row).collect(),
        rows,
        grid: Grid {
            columns,
            around: 3.0,
            lined: true,
        },
    }))
}

impl Part for Laid {
    fn lead(&self) -> f32 {
        let head = self.head.iter().map(|head| self.grid.lead(head)).sum::<f32>();
        let first = self.rows.first().map_or(0.0, |row| self.grid.lead(row));
        self.caption.len() as f32 * CELL.line + BELOW_CAPTION + head + first
    }

    fn place(self: Box<Self>, flow: &mut Flow) {
        let Laid {
            caption,
            grid,
            head,
            rows,
            row_headings,
        } = *self;
        let table = flow.structure.add(None, Role::Table);
        if !caption.is_empty() {
            let id = flow.structure.add(Some(table), Role::Caption);
            flow.ink(id, LEFT, CELL, caption);
            flow.sheets.y += BELOW_CAPTION;
        }
        if let Some(head) = &head {
            let group = flow.structure.add(Some(table), Role::TableHead);
            // A heading without words is a cell.
            let roles = head.0.iter().map(|cell| match cell.is_empty() {
                true => Role::Cell,
                false => Role::ColumnHeading,
            });
            let ids = cells(flow, group, roles.collect());
            grid_head(&grid, flow, head, &ids);
        }
        let repeated = head.filter(|head| grid.height(head) < TALL * flow.sheets.height());
        let again = |flow: &mut Flow| {
            if let Some(head) = &repeated {
                grid_head(&grid, flow, head, &[]);
            }
        };
        let body = flow.structure.add(Some(table), Role::TableBody);
        for (row, heading) in rows.into_iter().zip(row_headings) {
            let roles = (0..row.0.len()).map(|place| match place == 0 && heading {
                true => Role::RowHeading,
                false => Role::Cell,
            });
            let ids = cells(flow, body, roles.collect());
            grid.place(flow, row, &ids, &again);
        }
        flow.sheets.y += GAP * 1.5;
    }
}

fn grid_head(grid: &Grid, flow: &mut Flow, head: &Row, ids: &[Id]) {
    grid.place(flow, head.clone(), ids, &|_| {});
    grid.rule(flow, 0.9, INK);
}

fn cells(flow: &mut Flow, group: Id, roles: Vec<Role>) -> Vec<Id> {
    let row = flow.structure.add(Some(group), Role::Row);
    roles
        .into_iter()
        .map(|role| flow.structure.add(Some(row), role))
        .collect()
}
