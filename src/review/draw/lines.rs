//! A movement over the visits, left and right, with the usual range behind it.

use askama::Template;
use jiff::civil::Date;

use super::scale::Scale;
use crate::grammar::Usual;
use crate::grammar::facts::MeasurementError;
use crate::review::day;
use crate::review::rows::SIDES;

const WIDTH: f64 = 680.0;
const HEIGHT: f64 = 230.0;
const LEFT: f64 = 46.0;
const RIGHT: f64 = 600.0;
const TOP: f64 = 14.0;
const FOOT: f64 = 196.0;

/// Degrees of one movement at one visit after another.
pub struct Progress<'a> {
    pub title: String,
    /// Local dates, ISO 8601, and the degrees of left, right, and where no side was said.
    pub visits: Vec<(String, [Option<i32>; 3])>,
    /// The numbers of these visits in the record; of several on a day the first.
    pub numbers: Vec<i64>,
    pub usual: Option<&'a Usual>,
    /// How far a measurement may be off.
    pub error: Option<&'a MeasurementError>,
}

#[derive(Template)]
#[template(path = "lines.svg")]
struct Lines {
    width: f64,
    height: f64,
    title: String,
    left: f64,
    right: f64,
    foot: f64,
    marks: Vec<(f64, i32)>,
    /// Where, and whether it is written: dates that would run into each other are left out.
    dates: Vec<(f64, String)>,
    band: Option<(f64, f64)>,
    lines: Vec<Line>,
}

struct Line {
    side: &'static str,
    points: String,
    places: Vec<(f64, f64)>,
    /// How far above and below each of them the measurement error reaches.
    whisker: Option<f64>,
    label: String,
    label_y: f64,
}

/// The picture; nothing if nothing was measured at two visits.
pub fn lines(progress: &Progress<'_>) -> Option<String> {
    let dates: Vec<i32> = progress
        .visits
        .iter()
        .filter_map(|(date, _)| Some(days(date.parse().ok()?)))
        .collect();
    if dates.len() < 2 || dates.len() != progress.visits.len() {
        return None;
    }
    let (first, last) = (*dates.first()?, *dates.last()?);
    let x = |at: i32| {
        let part = f64::from(at - first) / f64::from((last - first).max(1));
        ((LEFT + 14.0 + part * (RIGHT - LEFT - 28.0)) * 10.0).round() / 10.0
    };
    let values = progress
        .visits
        .iter()
        .flat_map(|(_, sides)| sides.iter().flatten().copied());
    // 95 of 100 measurements lie within 1.96 standard errors.
    let error = progress.error.map(|error| 1.96 * error.sem());
    let off = error.unwrap_or_default().ceil() as i32;
    let values = values.flat_map(|degrees| [degrees - off, degrees + off]);
    let ends = progress
        .usual
        .into_iter()
        .flat_map(|usual| [usual.from, usual.to]);
    let scale = Scale::of(values.chain(ends), FOOT, TOP);
    let mut drawn: Vec<Line> = Vec::new();
    for (number, side) in SIDES.into_iter().enumerate() {
        let places: Vec<(f64, f64, i32)> = dates
            .iter()
            .zip(&progress.visits)
            .filter_map(|(at, (_, sides))| sides[number].map(|degrees| (x(*at), scale.at(degrees), degrees)))
            .collect();
        let Some((_, y, degrees)) = places.last().copied() else {
            continue;
        };
        // Two labels never lie on each other.
        let taken = drawn
            .iter()
            .map(|line| line.label_y)
            .find(|other| (other - y - 4.0).abs() < 15.0);
        drawn.push(Line {
            side,
            points: places.iter().map(|(x, y, _)| format!("{x},{y} ")).collect(),
            places: places.iter().map(|(x, y, _)| (*x, *y)).collect(),
            whisker: error.map(|error| scale.length(error)),
            label: format!("{side} {degrees}°"),
            label_y: taken.map_or(y + 4.0, |other| {
                if y + 4.0 < other {
                    other - 15.0
                } else {
                    other + 15.0
                }
            }),
        });
    }
    let mut written: Vec<(f64, String)> = Vec::new();
    for (at, (date, _)) in dates.iter().zip(&progress.visits) {
        let place = x(*at);
        if written.last().is_none_or(|(before, _)| place - before > 110.0) {
            written.push((place, day(date)));
        }
    }
    let picture = Lines {
        width: WIDTH,
        height: HEIGHT,
        title: format!("{}: degrees at each visit", progress.title),
        left: LEFT,
        right: RIGHT,
        foot: FOOT,
        marks: scale
            .marks()
            .into_iter()
            .map(|mark| (scale.at(mark), mark))
            .collect(),
        dates: written,
        band: progress.usual.map(|usual| {
            let (low, high) = (scale.at(usual.from), scale.at(usual.to));
            (high, (low - high).max(2.0))
        }),
        lines: drawn,
    };
    picture.render().ok()
}

fn days(date: Date) -> i32 {
    let since = date - Date::constant(2000, 1, 1);
    since.get_days()
}
