//! Prints the table, and what was expected.

use crate::child::WAYS;
use crate::measure::Measured;
use crate::{MODELS, Sentence};

/// What the search is allowed with the smallest model.
const MOST_OF_PLAIN: f64 = 1.0 / 3.0;
const MOST_REAL_TIME: f64 = 0.08;
const MOST_MB: f64 = 350.0;
const MOST_START_S: f64 = 1.5;

/// When, where and on what.
pub fn head(sentences: &[Sentence]) {
    let read = |path: &str| std::fs::read_to_string(path).unwrap_or_default();
    let (processor, load) = (read("/proc/cpuinfo"), read("/proc/loadavg"));
    let processor = processor
        .lines()
        .find_map(|line| line.strip_prefix("model name"))
        .map_or("unknown processor", |name| {
            name.trim_start_matches([' ', '\t', ':'])
        });
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    println!(
        "{}, {processor}, {cores} cores",
        jiff::ZonedDateTime::now().strftime("%Y-%m-%d %H:%M")
    );
    println!(
        "one thread of computing; load before: {}",
        load.split(' ').next().unwrap_or("unknown")
    );
    let sound_s: f64 = sentences.iter().map(|sentence| sentence.seconds).sum();
    println!(
        "{} sentences of audio-samples, {sound_s:.0} s of sound\n",
        sentences.len()
    );
    println!(
        "{:8} {:14} {:>9} {:>7} {:>9} {:>7} {:>8}   of the full window's",
        "", "", "decode ms", "", "times", "peak", "start ms"
    );
    println!(
        "{:8} {:14} {:>9} {:>7} {:>9} {:>7} {:>8}   {:>6} {:>6}",
        "model", "decoding", "median", "p95", "real time", "MB", "median", "median", "p95"
    );
}

/// The rows of one model, and the expectations if it is the first.
pub fn rows(name: &str, measured: &[Measured]) {
    for ((title, _), row) in WAYS.iter().zip(measured) {
        let (median, p95) = (of_plain(measured, row, 0.5), of_plain(measured, row, 0.95));
        println!(
            "{name:8} {title:14} {:9.0} {:7.0} {:9.3} {:>7} {:8.0}   {median:6.2} {p95:6.2}",
            quantile(&row.decode_ms, 0.5),
            quantile(&row.decode_ms, 0.95),
            row.real_time_factor,
            row.memory_mb.map_or("–".to_owned(), |mb| format!("{mb:.0}")),
            quantile(&row.start_ms, 0.5),
        );
    }
    let Some(search) = measured.last().filter(|_| name == MODELS[0]) else {
        return;
    };
    let median = of_plain(measured, search, 0.5);
    expected(
        "decoding takes at most a third of the full window's",
        median,
        MOST_OF_PLAIN,
        "",
    );
    expected(
        "decoding takes less than 0.08 of the sound's time",
        search.real_time_factor,
        MOST_REAL_TIME,
        "",
    );
    if let Some(mb) = search.memory_mb {
        expected("peak memory is under 350 MB", mb, MOST_MB, " MB");
    }
    let start_s = quantile(&search.start_ms, 0.5) / 1000.0;
    expected(
        "it listens within 1.5 s of its start",
        start_s,
        MOST_START_S,
        " s",
    );
}

/// Says whether a figure is at most what was expected of it.
fn expected(what: &str, found: f64, most: f64, unit: &str) {
    let verdict = match found <= most {
        true => "met".to_owned(),
        false => format!("missed by {}", figure(found - most, unit)),
    };
    println!(
        "expected: grammar search, {}: {what}: {}, {verdict}",
        MODELS[0],
        figure(found, unit)
    );
}

fn figure(value: f64, unit: &str) -> String {
    let decimals = if value < 10.0 { 3 } else { 0 };
    format!("{value:.decimals$}{unit}")
}

/// A quantile of the row's decoding times as a part of the full window's.
fn of_plain(measured: &[Measured], row: &Measured, part: f64) -> f64 {
    quantile(&row.decode_ms, part) / quantile(&measured[0].decode_ms, part)
}

/// The value below which a part of the values lies.
fn quantile(values: &[f64], part: f64) -> f64 {
    let mut ascending = values.to_vec();
    ascending.sort_by(f64::total_cmp);
    ascending[((ascending.len() - 1) as f64 * part).round() as usize]
}
