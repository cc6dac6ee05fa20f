//! Which of what was heard belongs to what was said.

use couchside::evaluate::{Span, align};

fn timed(spans: &[(f64, f64)]) -> Vec<Span> {
    let span = |seconds: &(f64, f64)| Span {
        seconds: Some(*seconds),
        words: String::new(),
    };
    spans.iter().map(span).collect()
}

fn worded(texts: &[&str]) -> Vec<Span> {
    let span = |text: &&str| Span {
        seconds: None,
        words: text.to_string(),
    };
    texts.iter().map(span).collect()
}

/// Each group as positions, said before heard: `0:0 1:1,2 -:3`.
fn groups(said: &[Span], heard: &[Span]) -> String {
    let positions = |(from, to): (usize, usize)| match from == to {
        true => "-".to_string(),
        false => (from..to).map(|at| at.to_string()).collect::<Vec<_>>().join(","),
    };
    let group =
        |group: &couchside::evaluate::Group| format!("{}:{}", positions(group.said), positions(group.heard));
    align(said, heard).iter().map(group).collect::<Vec<_>>().join(" ")
}

#[test]
fn by_time() {
    let said = timed(&[(0.3, 2.0), (3.0, 5.0), (6.0, 6.6), (8.0, 12.0)]);
    let check =
        |heard: &[(f64, f64)], wanted: &str| assert_eq!(groups(&said, &timed(heard)), wanted, "{heard:?}");
    check(
        &[(0.4, 2.1), (3.0, 4.9), (6.0, 6.7), (8.1, 12.0)],
        "0:0 1:1 2:2 3:3",
    );
    // One was not heard.
    check(&[(0.4, 2.1), (6.0, 6.7), (8.1, 12.0)], "0:0 1:- 2:1 3:2");
    // One was heard in two pieces.
    check(
        &[(0.4, 2.1), (3.0, 4.9), (6.0, 6.7), (8.1, 9.5), (10.3, 12.0)],
        "0:0 1:1 2:2 3:3,4",
    );
    // Two were heard as one.
    check(&[(0.4, 2.1), (3.0, 6.6), (8.1, 12.0)], "0:0 1,2:1 3:2");
    // Something was heard where nothing was said.
    check(
        &[(0.4, 2.1), (3.0, 4.9), (6.0, 6.7), (7.0, 7.6), (8.1, 12.0)],
        "0:0 1:1 2:2 -:3 3:4",
    );
    check(&[], "0:- 1:- 2:- 3:-");
}

/// A long run of utterances that are all a little off is not taken for one piece.
#[test]
fn a_long_recording_keeps_its_order() {
    let said: Vec<(f64, f64)> = (0..40)
        .map(|at| (at as f64 * 3.0, at as f64 * 3.0 + 1.8))
        .collect();
    let heard: Vec<(f64, f64)> = said.iter().map(|(from, to)| (from + 0.15, to + 0.1)).collect();
    let wanted: Vec<String> = (0..40).map(|at| format!("{at}:{at}")).collect();
    assert_eq!(groups(&timed(&said), &timed(&heard)), wanted.join(" "));
}

#[test]
fn by_words_where_times_are_not_known() {
    let said = worded(&[
        "right hip flexion active one ten",
        "confirm",
        "left active one hundred",
        "confirm",
    ]);
    let check = |heard: &[&str], wanted: &str| assert_eq!(groups(&said, &worded(heard)), wanted, "{heard:?}");
    check(
        &[
            "Right hip flexion, active",
            "one ten",
            "Confirm.",
            "left active 100",
            "confirm",
        ],
        "0:0,1 1:2 2:3 3:4",
    );
    check(
        &[
            "Right hip flexion active one ten.",
            "left active one hundred",
            "confirm",
        ],
        "0:0 1:- 2:1 3:2",
    );
    check(
        &[
            "right hip flexion active one ten confirm",
            "left active one hundred",
            "Conform",
        ],
        "0,1:0 2:1 3:2",
    );
}
