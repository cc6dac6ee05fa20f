//! Dictation that comes with a cue or a key, and everything else that is said in the room.

use std::io::{Write, pipe};
use std::sync::Arc;
use std::time::{Duration, Instant};

use couchside::grammar::{Grammar, Source};
use couchside::pipeline::{Key, Turn, WayIn};

use super::{Visit, heard, lines, passphrase};
use couchside::record::Record;

const CUE: &str = "mercury";
const FINDING: &str = "right hip flexion active one hundred and ten";

fn visit(home: &std::path::Path, way_in: WayIn) -> Visit {
    let grammar = Grammar::load(&Source::carried().with_cue(CUE)).expect("the grammar is whole");
    let record = Record::create(home, &passphrase()).expect("a record");
    let visit = Visit::open(record, "demo-7", "tiny.en", Arc::new(grammar)).expect("a visit");
    visit.let_in_by(way_in)
}

/// What is said, when it begins, whether a key let it in, and what comes of it.
type Said<'a> = (&'a str, f64, bool, &'a [&'a str]);

fn check(way_in: WayIn, said: &[Said]) {
    let home = tempfile::tempdir().expect("a folder");
    let mut visit = visit(home.path(), way_in);
    for (words, start_s, let_in, expected) in said {
        let mut heard = heard(words);
        (heard.start_s, heard.end_s, heard.let_in) = (*start_s, start_s + 1.0, *let_in);
        let events = visit.take(&heard).expect("the record can be written");
        assert_eq!(lines(&events), *expected, "{words}");
    }
}

const PROPOSED: &[&str] = &[
    "heard",
    "proposed right hip flexion active: 110°",
    "said Right hip flexion, active, 110 degrees.",
];
const RECORDED: &[&str] = &[
    "heard",
    "recorded right hip flexion active: 110°",
    "said Recorded.",
];
const CORRECTED: &[&str] = &[
    "heard",
    "corrected right hip flexion active: 45°",
    "said Now right hip flexion, active, 45 degrees.",
];

#[test]
fn only_what_follows_the_cue_is_dictation() {
    let cued = format!("{CUE} {FINDING}");
    check(
        WayIn::Cue,
        &[
            (FINDING, 0.0, false, &["aside"]),
            (&cued, 10.0, false, PROPOSED),
            // People say this to each other.
            ("no left", 20.0, false, &["aside"]),
            ("mercury no forty five", 25.0, false, CORRECTED),
            (
                "correction one hundred and ten",
                27.0,
                false,
                &[
                    "heard",
                    "corrected right hip flexion active: 110°",
                    "said Now right hip flexion, active, 110 degrees.",
                ],
            ),
            ("confirm", 30.0, false, RECORDED),
        ],
    );
    // The control words may have it too.
    check(
        WayIn::Cue,
        &[
            (&cued, 0.0, false, PROPOSED),
            ("mercury confirm", 5.0, false, RECORDED),
        ],
    );
}

#[test]
fn after_the_cue_alone_what_is_said_next_is_dictation_for_a_while() {
    check(
        WayIn::Cue,
        &[
            (CUE, 0.0, false, &["open"]),
            (FINDING, 3.0, false, PROPOSED),
            ("left one hundred and five", 5.0, false, &["aside"]),
            (CUE, 10.0, false, &["open"]),
            ("left one hundred and five", 20.0, false, &["aside"]),
        ],
    );
}

#[test]
fn the_answer_to_a_question_needs_no_cue() {
    check(
        WayIn::Cue,
        &[
            (
                "mercury hip flexion active one hundred and ten",
                0.0,
                false,
                &[
                    "heard",
                    "proposed hip flexion active: 110°",
                    "said Hip flexion, active, 110 degrees. Which side?",
                    "asked Which side?",
                ],
            ),
            ("right", 5.0, false, PROPOSED),
        ],
    );
}

/// Without it the cue means nothing, and nothing is kept out.
#[test]
fn where_the_way_is_open_everything_may_be_dictation() {
    check(WayIn::Open, &[(FINDING, 0.0, false, PROPOSED)]);
}

#[test]
fn only_what_a_key_lets_in_is_dictation() {
    for way_in in [WayIn::KeyHeld, WayIn::KeyTapped] {
        check(
            way_in,
            &[
                (FINDING, 0.0, false, &["aside"]),
                (FINDING, 5.0, true, PROPOSED),
                ("confirm", 10.0, false, RECORDED),
            ],
        );
    }
}

/// Presses so many milliseconds after the one before, and what the key does until nothing more comes of them.
fn turns(way_in: WayIn, presses: &[u64], seconds: f64) -> Vec<(Turn, f64)> {
    let (reader, mut writer) = pipe().expect("a pipe");
    let mut key = Key::of(reader, way_in);
    let presses = presses.to_vec();
    let typist = std::thread::spawn(move || {
        for wait in presses {
            std::thread::sleep(Duration::from_millis(wait));
            writer.write_all(b" ").expect("it is pressed");
        }
        writer
    });
    let began = Instant::now();
    let mut turns = Vec::new();
    while began.elapsed().as_secs_f64() < seconds {
        turns.extend(key.turn().map(|turn| (turn, began.elapsed().as_secs_f64())));
        std::thread::sleep(Duration::from_millis(5));
    }
    drop(typist.join());
    turns
}

#[test]
fn a_key_is_held_until_it_is_not_pressed_again() {
    // Half a second until it repeats, as keyboards do.
    let mut presses = vec![100, 500];
    presses.extend([40; 20]);
    let turns = turns(WayIn::KeyHeld, &presses, 2.5);
    let [(Turn::Opened, from), (Turn::Closed, to)] = turns[..] else {
        panic!("{turns:?}");
    };
    // Other tests may slow this down, never speed it up.
    assert!(from >= 0.1 && to - from >= 1.2, "{turns:?}");
}

#[test]
fn a_tap_opens_and_another_closes() {
    // Held a little: the second press is of the same tap.
    let turns = turns(WayIn::KeyTapped, &[50, 30, 700], 1.5);
    let did: Vec<Turn> = turns.iter().map(|turn| turn.0).collect();
    assert_eq!(did, [Turn::Opened, Turn::Closed]);
}

#[test]
fn a_keyboard_that_is_gone_is_told() {
    let (reader, writer) = pipe().expect("a pipe");
    let mut key = Key::of(reader, WayIn::KeyTapped);
    drop(writer);
    let began = Instant::now();
    let gone = std::iter::repeat_with(|| key.turn()).flatten().next();
    assert_eq!(gone, Some(Turn::Gone));
    assert!(began.elapsed() < Duration::from_secs(5));
    assert_eq!(key.turn(), None);
}

#[test]
fn words_that_are_said_otherwise_are_no_cue() {
    let grammar = Grammar::carried().expect("the grammar is whole");
    for (words, why) in [
        ("right", "has a meaning"),
        ("confirm", "has a meaning"),
        ("left mercury", "has a meaning"),
        ("please", "has a meaning"),
        ("ahoy", "5 letters or more"),
        ("one two three four five", "1 to 3 words"),
        ("", "5 letters or more"),
        ("mercury!", "letters only"),
    ] {
        let refused = grammar.may_be_cue(words).expect_err(words);
        assert!(
            refused.contains(why) || why.starts_with('1') && refused.contains("one to 3"),
            "{refused}"
        );
    }
    assert_eq!(grammar.may_be_cue("Mercury"), Ok(()));
}
