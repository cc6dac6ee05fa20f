//! Wilson's interval against values that others worked out.

use couchside::evaluate::wilson;

fn check(count: usize, of: usize, low: f64, high: f64, within: f64) {
    let (found_low, found_high) = wilson(count, of).expect("something was counted");
    assert!(
        (found_low - low).abs() <= within && (found_high - high).abs() <= within,
        "{count} of {of}: {found_low} to {found_high} instead of {low} to {high}"
    );
}

/// R. G. Newcombe, Two-sided confidence intervals for the single proportion, Statistics in Medicine 17 (1998), table I,
/// method 3. Written down from memory; statsmodels gives the same.
#[test]
fn published_examples() {
    check(81, 263, 0.2553, 0.3662, 0.000_05);
    check(15, 148, 0.0624, 0.1605, 0.000_05);
    check(0, 20, 0.0, 0.1611, 0.000_05);
    check(1, 29, 0.0061, 0.1718, 0.000_05);
}

#[test]
fn the_same_as_statsmodels() {
    let table = include_str!("../outside/wilson.tsv");
    let rows = table.lines().filter(|line| !line.starts_with('#'));
    let mut checked = 0;
    for row in rows {
        let cells: Vec<f64> = row
            .split('\t')
            .map(|cell| cell.parse().expect("a number"))
            .collect();
        check(cells[0] as usize, cells[1] as usize, cells[2], cells[3], 1e-9);
        checked += 1;
    }
    assert!(checked > 50, "{checked} rows");
}

#[test]
fn nothing_counted_has_no_interval() {
    assert_eq!(wilson(0, 0), None);
}
