//! Talk is no part of the record: it is there while the visit is looked through, and then it is gone.

use couchside::record::Became;

use super::*;

/// An open visit in which something was found, dropped, not understood and talked.
fn a_visit() -> (TempDir, Record, VisitId) {
    let (home, mut record) = new_record();
    let visit = record.visit_for("P-12").unwrap();
    record.keep_aside(visit, "my sister is a florist").unwrap();
    record_one(&mut record, visit, &flexion(Side::Left, 100), "left one hundred");
    let dropped = record
        .propose(visit, &flexion(Side::Left, 40), &source("left forty"))
        .unwrap();
    record.keep_transcript(dropped, "left for tea").unwrap();
    record.disregard(dropped).unwrap();
    record
        .not_understood(visit, "knee something", "half of it was not heard", false)
        .unwrap();
    record.keep_aside(visit, "and now the other one").unwrap();
    (home, record, visit)
}

fn heard(record: &Record, visit: VisitId) -> Vec<(String, Became)> {
    let utterances = record.utterances(visit).unwrap();
    assert!(utterances.is_sorted_by(|one, next| one.at <= next.at));
    utterances
        .into_iter()
        .map(|one| (one.heard, one.became))
        .collect()
}

#[test]
fn everything_that_was_heard_is_there_in_order() {
    let (_home, record, visit) = a_visit();
    let expected = [
        ("my sister is a florist", Became::Aside(1)),
        ("left one hundred", Became::Finding(1)),
        ("left forty", Became::LeftOut),
        (
            "knee something",
            Became::NotUnderstood("half of it was not heard".into()),
        ),
        ("and now the other one", Became::Aside(2)),
    ];
    let expected = expected.map(|(heard, became)| (heard.to_owned(), became));
    assert_eq!(heard(&record, visit), expected);
    assert_eq!(record.transcript(2).unwrap().as_deref(), Some("left for tea"));
}

#[test]
fn talk_is_erased_when_the_visit_is_signed_and_never_leaves_the_record() {
    let (home, mut record, visit) = a_visit();
    record.erase_aside(visit, 2).unwrap();
    // It is no act: the record is whole with and without it, and what the acts amount to does not hold it.
    record.verify().unwrap();
    record.rebuild(|_, _| {}).unwrap();
    assert_eq!(heard(&record, visit).len(), 4);
    let exported = home.path().join("exported.jsonl");
    record.export(&exported).unwrap();
    let exported = std::fs::read_to_string(exported).unwrap();
    assert!(exported.contains("left one hundred") && !exported.contains("florist"));
    assert!(!exported.contains("left for tea"));
    record.sign_visit(visit, false).unwrap();
    assert!(
        heard(&record, visit)
            .iter()
            .all(|(_, became)| !matches!(became, Became::Aside(_)))
    );
    assert_eq!(record.transcript(2).unwrap(), None);
    assert!(record.keep_aside(visit, "goodbye").is_err());
    record.verify().unwrap();
}

#[test]
fn it_goes_with_a_client_who_is_removed() {
    let (_home, mut record, _) = a_visit();
    record.remove_client("P-12").unwrap();
    record.verify().unwrap();
    // The number of the visit is not given again, and nothing is left under it.
    let visit = record.visit_for("P-13").unwrap();
    assert_eq!(heard(&record, visit), []);
}
