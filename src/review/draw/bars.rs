//! Left and right as bars, against the usual range.

use askama::Template;

use super::scale::Scale;
use super::usual;
use crate::grammar::{Grammar, Usual};
use crate::record::Kept;
use crate::review::rows::{Row, SIDES};

const WIDTH: f64 = 680.0;
/// Where the bars begin; what was examined stands before.
const BARS_FROM: f64 = 210.0;
const BARS_TO: f64 = 600.0;
const ROW: f64 = 58.0;
const BAR: f64 = 15.0;
const TOP: f64 = 10.0;

#[derive(Template)]
#[template(path = "bars.svg")]
struct Bars {
    width: f64,
    height: f64,
    title: String,
    rows: Vec<Line>,
    marks: Vec<(f64, i32)>,
    foot: f64,
    zero: f64,
}

struct Line {
    name: String,
    mode: String,
    y: f64,
    /// The usual range: where it is, how wide, and its ends.
    band: Option<(f64, f64, f64, f64)>,
    usual: String,
    bars: Vec<Bar>,
}

struct Bar {
    side: &'static str,
    x: f64,
    y: f64,
    width: f64,
    height: f64,
    label: String,
    label_x: f64,
    label_y: f64,
}

/// The picture of those rows that have degrees, and whose ranges are drawn; nothing if none has.
pub fn bars<'a>(
    grammar: &'a Grammar,
    heading: &str,
    rows: &[Row<'_>],
) -> Option<(String, Vec<(String, &'a Usual)>)> {
    let measured: Vec<&Row> = rows
        .iter()
        .filter(|row| {
            row.sides
                .iter()
                .flatten()
                .any(|kept| kept.finding.degrees.is_some())
        })
        .collect();
    if measured.is_empty() {
        return None;
    }
    let usual_of = |row: &Row<'_>| {
        row.sides
            .iter()
            .flatten()
            .find_map(|kept| usual(grammar, &kept.finding))
    };
    let degrees = measured.iter().flat_map(|row| {
        let values = row
            .sides
            .iter()
            .flatten()
            .filter_map(|kept| kept.finding.degrees.as_ref());
        let values = values.flat_map(|degrees| [degrees.to, degrees.from.unwrap_or(degrees.to)]);
        values.chain(usual_of(row).into_iter().flat_map(|usual| [usual.from, usual.to]))
    });
    let scale = Scale::of(degrees, BARS_FROM, BARS_TO);
    let lines: Vec<Line> = measured
        .iter()
        .enumerate()
        .map(|(number, row)| line(row, TOP + number as f64 * ROW, &scale, usual_of(row)))
        .collect();
    let foot = TOP + measured.len() as f64 * ROW;
    let mut sources: Vec<(String, &Usual)> = Vec::new();
    for row in &measured {
        if let Some(usual) = usual_of(row)
            && !sources.iter().any(|(name, _)| *name == row.name)
        {
            sources.push((row.name.clone(), usual));
        }
    }
    let picture = Bars {
        width: WIDTH,
        height: foot + 26.0,
        title: format!("{heading}: degrees on the left and on the right, against the usual range"),
        marks: scale
            .marks()
            .into_iter()
            .map(|mark| (scale.at(mark), mark))
            .collect(),
        zero: scale.at(0),
        foot,
        rows: lines,
    };
    Some((picture.render().ok()?, sources))
}

fn line(row: &Row<'_>, y: f64, scale: &Scale, usual: Option<&Usual>) -> Line {
    let sides: Vec<(&Kept, &'static str)> = row
        .sides
        .iter()
        .zip(SIDES)
        .filter_map(|(kept, side)| Some(((*kept)?, side)))
        .collect();
    let bars = sides.iter().enumerate().filter_map(|(place, (kept, side))| {
        let degrees = kept.finding.degrees.as_ref()?;
        let (one, other) = (scale.at(degrees.from.unwrap_or(0)), scale.at(degrees.to));
        let y = y + 6.0 + place as f64 * (BAR + 5.0);
        Some(Bar {
            side,
            x: one.min(other),
            y,
            width: (one - other).abs().max(2.0),
            height: BAR,
            label: match degrees.from {
                Some(from) => format!("{from}° to {}°", degrees.to),
                None => format!("{}°", degrees.to),
            },
            label_x: one.max(other) + 6.0,
            label_y: y + 12.0,
        })
    });
    Line {
        name: row.name.clone(),
        mode: row.mode.clone(),
        y,
        band: usual.map(|usual| {
            let (from, to) = (scale.at(usual.from), scale.at(usual.to));
            (from, (to - from).max(2.0), y + 1.0, ROW - 12.0)
        }),
        usual: usual.map_or(String::new(), |usual| {
            format!("usual {}° to {}°", usual.from, usual.to)
        }),
        bars: bars.collect(),
    }
}
