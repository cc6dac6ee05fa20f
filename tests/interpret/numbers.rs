//! Spoken numbers against num2words (`tests/outside/spoken_numbers.py`).

use serde_json::json;

use couchside::grammar::numbers::Class;

use super::{grammar, interpreter};

/// Every row of the table: value and words.
fn table() -> Vec<(i32, &'static str)> {
    let rows = include_str!("../outside/spoken_numbers.tsv")
        .lines()
        .filter(|line| !line.starts_with('#'));
    rows.map(|row| {
        let (value, words) = row.split_once('\t').unwrap();
        (value.parse().unwrap(), words)
    })
    .collect()
}

#[test]
fn every_spoken_number_is_its_value() {
    let grammar = grammar();
    let numbers = grammar.automaton.numbers(Class::Degrees);
    assert!(table().len() > 1500);
    for (value, words) in table() {
        let mut node = 0;
        for word in grammar.words(words) {
            let next = grammar
                .lexicon
                .number(&word)
                .and_then(|word| numbers.next(node, word));
            node = next.unwrap_or_else(|| panic!("`{word}` of `{words}` leads nowhere"));
        }
        assert_eq!(
            numbers.value(node).map(|value| value.number),
            Some(value),
            "{words}"
        );
    }
}

#[test]
fn every_number_that_a_knee_can_bend_to_is_heard_in_a_finding() {
    let mut heard = 0;
    for (value, words) in table().into_iter().filter(|(value, _)| (0..=150).contains(value)) {
        for (unit, mode) in [(" degrees", ""), ("", "active ")] {
            let text = format!("right knee flexion {mode}{words}{unit}");
            let outcome = serde_json::to_value(interpreter().peek(&text).outcome).unwrap();
            assert_eq!(
                outcome["findings"][0]["degrees"],
                json!({ "to": value }),
                "{text}: {outcome}"
            );
            heard += 1;
        }
    }
    assert!(heard > 800, "{heard}");
}

#[test]
fn below_zero_is_short_of_straight() {
    for (value, words) in table().into_iter().filter(|(value, _)| *value < 0) {
        let text = format!("left knee extension {words}");
        let outcome = serde_json::to_value(interpreter().peek(&text).outcome).unwrap();
        assert_eq!(
            outcome["findings"][0]["degrees"],
            json!({ "to": value }),
            "{text}: {outcome}"
        );
    }
}
