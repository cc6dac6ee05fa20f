//! What is looked for is found, and nothing else.

use std::ops::ControlFlow;
use std::sync::Arc;

use couchside::finding::Outcome;
use couchside::grammar::Grammar;
use couchside::interpret::Interpreter;
use couchside::record::{Hit, Wanted};
use couchside::review::query;
use proptest::prelude::*;

use super::*;

/// Clients, dates of visits, and what was dictated in them, a finding or more a line.
const DICTATED: [(&str, &str, &[&str]); 3] = [
    (
        "P-12",
        "2026-01-10",
        &[
            "right hip internal rotation passive twenty five firm painful six out of ten end range",
            "left the same",
            "left hip internal rotation passive forty firm pain free",
            "right quads four plus",
            "note stairs hurt since Monday",
        ],
    ),
    (
        "P-12",
        "2026-02-21",
        &[
            "right hip internal rotation passive thirty five firm pain free",
            "right Lachman two plus soft end point",
            "both knees extension active full",
        ],
    ),
    (
        "P-30",
        "2026-02-01",
        &[
            "right shoulder abduction active one ten painful arc sixty to ninety",
            "right thigh girth fifty one at ten centimetres",
        ],
    ),
];

fn filled() -> (TempDir, Record, Arc<Grammar>) {
    let grammar = Arc::new(Grammar::carried().unwrap());
    let (home, mut record) = new_record();
    for (client, date, lines) in DICTATED {
        let visit = record.visit_on(client, date.parse().unwrap()).unwrap();
        let mut interpreter = Interpreter::new(grammar.clone());
        for line in lines {
            let Outcome::Finding { findings } = interpreter.read(line).outcome else {
                panic!("“{line}” is no finding");
            };
            for finding in findings {
                record_one(&mut record, visit, &finding, line);
            }
        }
    }
    (home, record, grammar)
}

/// The numbers of what is found, and what was left to be looked for as text.
fn check(query_text: &str, with: impl Fn(Wanted) -> Wanted, found: &[i64], as_text: &[&str]) {
    let (_home, record, grammar) = filled();
    let wanted = with(query(&grammar, query_text));
    assert_eq!(wanted.texts, as_text, "“{query_text}”");
    let mut numbers: Vec<i64> = hits(&record, &wanted).iter().map(|hit| hit.id).collect();
    numbers.sort_unstable();
    assert_eq!(numbers, found, "“{query_text}”: {wanted:?}");
}

fn hits(record: &Record, wanted: &Wanted) -> Vec<Hit> {
    let mut hits = Vec::new();
    let gather = |hit| {
        hits.push(hit);
        ControlFlow::Continue(())
    };
    record.search(wanted, gather).unwrap();
    hits
}

fn as_it_is(wanted: Wanted) -> Wanted {
    wanted
}

#[test]
fn by_fields_in_the_words_of_dictation() {
    for (text, found) in [
        ("right hip internal rotation passive", &[1, 6][..]),
        ("hip IR", &[1, 2, 3, 6]),
        ("right hip internal rotation painful", &[1]),
        ("hip internal rotation pain free", &[3, 6]),
        ("quads", &[4]),
        ("right Lachman", &[7]),
        ("left knee extension", &[8]),
        ("firm end feel", &[1, 2, 3, 6]),
        ("painful", &[1, 2, 9]),
        ("full", &[8]),
        ("left shoulder", &[]),
    ] {
        check(text, as_it_is, found, &[]);
    }
}

#[test]
fn by_numbers() {
    for (text, found) in [
        ("right hip internal rotation passive < 30 painful", &[1][..]),
        ("hip internal rotation passive at least 35 degrees", &[3, 6]),
        ("hip internal rotation degrees = 25", &[1, 2]),
        ("degrees more than 100", &[9]),
        ("score >= 6", &[1, 2]),
        ("score < 6", &[]),
        ("quads grade > 4", &[4]),
        ("grade at most 4", &[]),
        ("girth above 50", &[10]),
        // 25 on the right against the latest on the left, 40; and the other way round.
        ("hip internal rotation difference > 10", &[1, 3]),
        ("difference over 20", &[]),
    ] {
        check(text, as_it_is, found, &[]);
    }
}

#[test]
fn by_words_in_any_form() {
    check("stairs", as_it_is, &[5], &["stairs"]);
    check("stair", as_it_is, &[5], &["stair"]);
    check("\"since Monday\"", as_it_is, &[5], &["since Monday"]);
    check("\"Monday since\"", as_it_is, &[], &["Monday since"]);
    // What the grammar does not know is looked for as it stands; FTS5's own signs are only words.
    check("zebra", as_it_is, &[], &["zebra"]);
    check(
        "NEAR(stairs) OR zebra*",
        as_it_is,
        &[],
        &["near", "stairs", "or", "zebra"],
    );
}

#[test]
fn by_client_and_date() {
    let of = |code: &'static str| {
        move |wanted: Wanted| Wanted {
            client: Some(code.into()),
            ..wanted
        }
    };
    check("painful", of("P-12"), &[1, 2], &[]);
    check("painful", of("P-30"), &[9], &[]);
    check("painful", of("P-99"), &[], &[]);
    let between = |from: &'static str, to: &'static str| {
        move |wanted: Wanted| Wanted {
            from: Some(from.into()),
            to: Some(to.into()),
            ..wanted
        }
    };
    check(
        "right",
        between("2026-02-01", "2026-02-21"),
        &[6, 7, 8, 9, 10],
        &[],
    );
    check("right", between("2026-02-22", "2026-12-31"), &[], &[]);
}

#[test]
fn what_was_taken_back_is_not_found() {
    let (_home, mut record, grammar) = filled();
    let visit = record.visit_on("P-12", "2026-02-21".parse().unwrap()).unwrap();
    let wanted = query(&grammar, "right Lachman");
    let hit = hits(&record, &wanted).remove(0);
    record.withdraw(visit, &taken_back(hit.id, &hit.finding)).unwrap();
    assert_eq!(hits(&record, &wanted), []);
}

/// What is searched is caught up when somebody searches: after every order of recording, correcting and taking back it holds what
/// a record made anew from its acts would hold.
#[test]
fn what_is_searched_keeps_up() {
    let all = |record: &Record| {
        let mut found: Vec<i64> = hits(record, &Wanted::default())
            .iter()
            .map(|hit| hit.id)
            .collect();
        let by_words = hits(
            record,
            &Wanted {
                texts: vec!["left".into()],
                ..Wanted::default()
            },
        );
        let mut by_words: Vec<i64> = by_words.iter().map(|hit| hit.id).collect();
        found.sort_unstable();
        by_words.sort_unstable();
        assert_eq!(found, by_words);
        record.verify().unwrap();
        found
    };
    let (_home, mut record) = new_record();
    let visit = record.visit_for("P-12").unwrap();
    let flexed = |degrees| flexion(Side::Left, degrees);
    let take_back = |record: &mut Record, id, degrees| {
        record.withdraw(visit, &taken_back(id, &flexed(degrees))).unwrap();
    };
    let correct = |record: &mut Record, id, degrees| {
        let finding = flexed(degrees);
        let proposal = record
            .propose_for(id, &finding, &source("left corrected"))
            .unwrap();
        let confirmed = confirmed(proposal, &finding, "left corrected");
        record.correct_finding(id, &confirmed).unwrap();
    };
    let first = record_one(&mut record, visit, &flexed(10), "left ten");
    let second = record_one(&mut record, visit, &flexed(20), "left twenty");
    take_back(&mut record, second, 20);
    assert_eq!(all(&record), [first]);
    let third = record_one(&mut record, visit, &flexed(30), "left thirty");
    correct(&mut record, first, 15);
    let fourth = record_one(&mut record, visit, &flexed(40), "left forty");
    assert_eq!(all(&record), [first, third, fourth]);
    take_back(&mut record, fourth, 40);
    correct(&mut record, third, 35);
    assert_eq!(all(&record), [first, third]);
    take_back(&mut record, first, 15);
    let fifth = record_one(&mut record, visit, &flexed(50), "left fifty");
    assert_eq!(all(&record), [third, fifth]);
    record.rebuild(|_, _| {}).unwrap();
    assert_eq!(all(&record), [third, fifth]);
}

#[test]
fn words_that_were_found_are_marked() {
    let (_home, record, grammar) = filled();
    let hits = hits(&record, &query(&grammar, "stairs"));
    assert_eq!(hits[0].marked, "note [stairs] hurt since Monday");
    assert_eq!(hits[0].heard, "note stairs hurt since Monday");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    /// Whatever is typed is a search: it finds something or nothing.
    #[test]
    fn no_search_is_an_error(text in "[ -~°“”é\"*()<>=]{0,40}") {
        use std::cell::OnceCell;
        thread_local!(static FILLED: OnceCell<(TempDir, Record, Arc<Grammar>)> = const { OnceCell::new() });
        FILLED.with(|cell| {
            let (_, record, grammar) = cell.get_or_init(filled);
            hits(record, &query(grammar, &text));
        });
    }
}
