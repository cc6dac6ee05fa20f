//! Findings that are taken back: gone from the case and from what can be found, kept in the history.

use std::ops::ControlFlow;

use couchside::record::{RecordError, Wanted};

use super::*;

fn numbers(record: &Record, client: &str) -> Vec<i64> {
    let case = record.case(client).unwrap();
    let findings = case.visits.iter().flat_map(|visit| &visit.findings);
    findings.map(|kept| kept.id).collect()
}

#[test]
fn it_is_gone_and_its_number_is_never_given_again() {
    let (home, mut record) = new_record();
    let visit = record.visit_for("P-12").unwrap();
    let (right, left) = (flexion(Side::Right, 110), flexion(Side::Left, 95));
    let first = record_one(&mut record, visit, &right, "right hip flexion active one ten");
    let second = record_one(&mut record, visit, &left, "left ninety five");
    record.withdraw(visit, &taken_back(second, &left)).unwrap();
    assert_eq!(numbers(&record, "P-12"), [first]);
    drop(record);

    let mut record = reopened(home.path());
    assert_eq!(numbers(&record, "P-12"), [first]);
    let third = record_one(&mut record, visit, &left, "left ninety five");
    assert_eq!(third, second + 1);
    record.verify().unwrap();
    record
        .search(&Wanted::default(), |_| ControlFlow::Break(()))
        .unwrap();
    drop(record);
    let conn = raw(home.path());
    let count = |sql: &str| conn.query_row(sql, [], |row| row.get::<_, i64>(0)).unwrap();
    assert_eq!(
        count("SELECT count(*) FROM findings_words WHERE findings_words MATCH 'left'"),
        1
    );
    // The history has all of it.
    assert_eq!(count("SELECT count(*) FROM acts WHERE what = 'confirmed'"), 3);
    assert_eq!(count("SELECT count(*) FROM acts WHERE what = 'withdrawn'"), 1);
}

#[test]
fn only_what_is_there_can_be_taken_back() {
    let (_home, mut record) = new_record();
    let visit = record.visit_for("P-12").unwrap();
    let other = record.visit_for("P-13").unwrap();
    let right = flexion(Side::Right, 110);
    let id = record_one(&mut record, visit, &right, "right hip flexion active one ten");
    let refused = |result: Result<String, RecordError>| {
        assert!(matches!(result, Err(RecordError::NoFinding)), "{result:?}");
    };
    refused(record.withdraw(visit, &taken_back(id + 1, &right)));
    refused(record.withdraw(other, &taken_back(id, &right)));
    record.withdraw(visit, &taken_back(id, &right)).unwrap();
    refused(record.withdraw(visit, &taken_back(id, &right)));
    // Nor can it be given another value.
    let again = record.propose(visit, &right, &source("one ten")).unwrap();
    let result = record.correct_finding(id, &confirmed(again, &right, "one ten"));
    assert!(matches!(result, Err(RecordError::NoFinding)), "{result:?}");
    record.verify().unwrap();
}
