//! Weights of wordings: from the file to the search and the exports.

use std::path::Path;
use std::sync::Arc;

use couchside::grammar::export::{jsgf, srgs};
use couchside::grammar::phrase_state::States;
use couchside::grammar::{Grammar, Source};

/// The carried files, `end-feels.toml` in other words: a frame and a wording weigh, and words that begin alike.
fn weighed() -> Arc<Grammar> {
    let carried = Source::carried();
    let names: Vec<String> = carried.names().map(str::to_string).collect();
    let files = names.into_iter().map(|name| {
        let text = match name.as_str() {
            "end-feels.toml" => {
                "slot = \"end feel\"\n\
                 phrases = [\"{}\", { say = \"quite {}\", weight = -0.5 }]\n\
                 [[value]]\nis = \"empty\"\nsaid = [{ say = \"empty\", weight = -2 }, \"empty like a sock\"]\n\
                 [[value]]\nis = \"firm\"\nsaid = [\"firm\", { say = \"gristly\", weight = 1 }]\n"
            }
            name => carried.text(name),
        };
        let text = text.to_string();
        (name, text)
    });
    Arc::new(Grammar::load(&Source::texts(files)).unwrap_or_else(|fault| panic!("{fault}")))
}

/// What each word of an utterance adds, in nats, and then its end.
fn gains(grammar: &Arc<Grammar>, said: &str) -> Vec<f32> {
    let mut states = States::new(grammar.clone());
    let mut state = States::START;
    let mut gains = Vec::new();
    for word in said.split(' ') {
        let word = grammar.lexicon.number(word).unwrap_or_else(|| panic!("{word}"));
        let (next, gain) = states.step(state, word).unwrap_or_else(|| panic!("{said}"));
        state = next;
        gains.push(gain.nats());
    }
    gains.push(states.end(state).unwrap_or_else(|| panic!("{said}")).nats());
    gains
}

#[test]
fn a_weight_is_added_as_soon_as_the_words_are_told_from_likelier_ones() {
    let grammar = weighed();
    assert_eq!(gains(&grammar, "left firm"), [0.0, 0.0, 0.0]);
    assert_eq!(gains(&grammar, "gristly left"), [1.0, 0.0, 0.0]);
    // Until its end "empty" may be the beginning of what is not rare.
    assert_eq!(gains(&grammar, "left empty"), [0.0, 0.0, -2.0]);
    assert_eq!(gains(&grammar, "empty left"), [0.0, -2.0, 0.0]);
    assert_eq!(gains(&grammar, "empty like a sock"), [0.0, 0.0, 0.0, 0.0, 0.0]);
}

#[test]
fn the_weights_of_a_frame_and_of_what_stands_in_it_are_added() {
    let grammar = weighed();
    let total = |said: &str| gains(&grammar, said).iter().sum::<f32>();
    for (said, weight) in [
        ("quite firm", -0.5),
        ("quite gristly", 0.5),
        ("quite empty", -2.5),
        ("quite empty like a sock", -0.5),
        ("left hip flexion twenty degrees quite gristly", 0.5),
    ] {
        assert!((total(said) - weight).abs() < 1e-3, "{said}: {}", total(said));
    }
}

#[test]
fn the_exports_carry_weights_and_only_where_there_are_some() {
    let grammar = weighed();
    let factor = |text: &str, before: &str, after: char| -> Vec<f64> {
        let found = text.split(before).skip(1);
        let numbers = found.filter_map(|rest| rest.split(after).next()?.parse().ok());
        numbers.collect()
    };
    let (srgs, jsgf) = (srgs(&grammar), jsgf(&grammar));
    let rare = (-2.0f64).exp();
    for weights in [factor(&srgs, " weight=\"", '"'), factor(&jsgf, "/", '/')] {
        assert!(weights.iter().all(|weight| *weight > 0.0), "{weights:?}");
        assert!(
            weights.iter().any(|weight| (weight - rare).abs() < 1e-3),
            "{weights:?}"
        );
    }
    assert!(srgs.contains("<ruleref special=\"NULL\"/>") && jsgf.contains("<NULL>"));
    // In one choice all have a weight or none has.
    for line in jsgf.lines().filter(|line| line.trim_start().starts_with("| /")) {
        assert!(line.matches("/ ").count() >= 1, "{line}");
    }
    let rule = jsgf
        .split("\n<end_feel> =")
        .nth(1)
        .unwrap()
        .split(';')
        .next()
        .unwrap();
    let ways = rule.lines().filter(|line| !line.trim().is_empty());
    assert!(
        ways.clone()
            .all(|way| way.trim_start_matches(['|', ' ']).starts_with('/')),
        "{rule}"
    );
    let side = jsgf
        .split("\n<side> =")
        .nth(1)
        .unwrap()
        .split(';')
        .next()
        .unwrap();
    assert!(!side.contains('/'), "{side}");
}

#[test]
fn own_words_may_have_a_weight() {
    let words = "[[add]]\nsay = { say = \"gristly\", weight = -1 }\nmeans = \"firm\"\n\
                 [[add]]\nsay = [\"chewy\", { say = \"sinewy\", weight = 0.5 }]\nmeans = \"firm\"\n";
    let source = Source::carried().with_own_words(words.into(), Path::new("words.toml"));
    let grammar = Arc::new(Grammar::load(&source).unwrap_or_else(|fault| panic!("{fault}")));
    let total = |said: &str| gains(&grammar, said).iter().sum::<f32>();
    assert_eq!(
        [total("left gristly"), total("left chewy"), total("left sinewy")],
        [-1.0, 0.0, 0.5]
    );
    let wrong = Source::carried().with_own_words(
        "[[add]]\nsay = [\"chewy\", { say = \"b\", weight = -9 }]\nmeans = \"firm\"\n".into(),
        Path::new("words.toml"),
    );
    let message = Grammar::load(&wrong)
        .err()
        .map(|fault| fault.to_string())
        .unwrap_or_default();
    assert!(
        message.starts_with("a weight is a number from -5 to 2, not -9\n"),
        "{message}"
    );
    assert!(message.contains("--> words.toml:2:39\n"), "{message}");
}
