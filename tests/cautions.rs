//! A caution is shown and said when such a finding is recorded, and never otherwise; which were shown stands in the history.

use std::sync::Arc;

use couchside::event::Event;
use couchside::grammar::Grammar;
use couchside::pipeline::Visit;
use couchside::record::{ClientDetails, Record};

use crate::record::new_record;

/// The cautions that are told when this is dictated and confirmed, by their titles.
fn told(record: Record, said: &str) -> Vec<String> {
    let grammar = Arc::new(Grammar::carried().unwrap());
    let mut visit = Visit::open(record, "P-12", "test", grammar).unwrap();
    let dictated = visit.touch(said).unwrap();
    let early = |event: &Event| matches!(event, Event::Caution { .. });
    assert!(!dictated.iter().any(early), "{said}: before it is confirmed");
    visit.was_told();
    let events = visit.touch("confirm").unwrap();
    assert!(
        events.iter().any(|event| matches!(event, Event::Recorded { .. })),
        "{said}: {events:?}"
    );
    let titles = events.into_iter().filter_map(|event| match event {
        Event::Caution {
            title, text, source, ..
        } => {
            assert!(
                text.starts_with("Please note. ") && source.ends_with(')'),
                "{text} {source}"
            );
            Some(title)
        }
        _ => None,
    });
    titles.collect()
}

#[test]
fn what_was_recorded_decides_which_is_told() {
    for (said, titles) in [
        (
            "left Thompson positive",
            &["Calf squeeze without movement of the foot"][..],
        ),
        ("left Thompson negative", &[]),
        (
            "right hip internal rotation passive twenty empty end feel painful",
            &["An empty end feel with severe pain"],
        ),
        ("right hip internal rotation passive twenty firm painful", &[]),
        (
            "left knee flexion active ninety pain eight out of ten",
            &["Pain above seven out of ten"],
        ),
        ("left knee flexion active ninety pain seven out of ten", &[]),
        (
            "right lateral malleolus tender",
            &["Tenderness behind or at the tip of a malleolus"],
        ),
        (
            "note numb around the saddle since Tuesday",
            &["Numbness around the saddle"],
        ),
        ("note no numbness around the saddle", &[]),
        ("note new bicycle with a hard saddle", &[]),
        ("note rides a bicycle to work", &[]),
        // Without a word about it in the client's cautions there is none.
        ("right hip flexion active one hundred", &[]),
    ] {
        let (_home, record) = new_record();
        assert_eq!(told(record, said), titles, "{said}");
    }
}

#[test]
fn what_is_written_about_the_client_counts_and_the_history_says_what_was_shown() {
    let (home, mut record) = new_record();
    let details = ClientDetails {
        cautions: Some("Right hip replaced in 2019, from behind".into()),
        ..ClientDetails::default()
    };
    record.add_client("P-12", details).unwrap();
    let titles = told(record, "right hip flexion active one hundred");
    assert_eq!(titles, ["Limits after a hip replacement"]);
    let record = crate::record::reopened(home.path());
    record.verify().unwrap();
    let history = record.history("P-12").unwrap();
    let shown = history
        .iter()
        .filter(|done| done.detail.as_deref() == Some("hip-replacement"));
    assert_eq!(shown.map(|done| done.id).collect::<Vec<_>>(), [Some(1)]);
}
