//! What is confirmed is kept, as it was confirmed and with the words it was read from.

use couchside::finding::Side;
use couchside::record::RecordError;
use serde_json::json;

use super::*;

#[test]
fn a_case_serialises_as_published() {
    let (home, mut record) = new_record();
    let visit = record.visit_on("P-12", "2025-11-25".parse().unwrap()).unwrap();
    let finding = flexion(Side::Right, 110);
    let proposal = record
        .propose(visit, &finding, &source("right hip flexion active one ten"))
        .unwrap();
    assert_eq!(
        serde_json::to_value(record.case("P-12").unwrap()).unwrap()["visits"][0]["findings"],
        json!([])
    );
    let recorded = record.confirm(visit, &confirmed(proposal, &finding, "")).unwrap();
    assert!(
        recorded.at.ends_with('Z') && recorded.at.parse::<jiff::Timestamp>().is_ok(),
        "{}",
        recorded.at
    );
    drop(record);
    assert_eq!(
        serde_json::to_value(reopened(home.path()).case("P-12").unwrap()).unwrap(),
        json!({"client": "P-12", "visits": [{"number": 1, "date": "2025-11-25", "findings": [{
            "id": 1,
            "finding": {"kind": "movement", "side": "right", "joint": "hip", "movement": "flexion",
                        "mode": "active", "degrees": {"to": 110}},
            "heard": "right hip flexion active one ten",
            "at": recorded.at,
        }]}]})
    );
}

#[test]
fn a_finding_keeps_its_model_grammar_and_times() {
    let (home, mut record) = new_record();
    let visit = record.visit_for("P-12").unwrap();
    record_one(&mut record, visit, &flexion(Side::Left, 100), "left one hundred");
    drop(record);
    let sql = "SELECT finding, model, grammar, heard_at <= at FROM findings";
    let kept: (String, String, String, bool) = raw(home.path())
        .query_row(sql, [], |row| {
            Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?))
        })
        .unwrap();
    let finding = serde_json::to_string(&flexion(Side::Left, 100)).unwrap();
    assert_eq!(
        kept,
        (finding, "tiny.en".to_owned(), "sha256:1234".to_owned(), true)
    );
}

#[test]
fn what_waits_is_still_waiting_after_a_restart() {
    let (home, mut record) = new_record();
    let visit = record.visit_for("P-12").unwrap();
    let first = record
        .propose(visit, &flexion(Side::Left, 40), &source("left forty"))
        .unwrap();
    let second = record
        .propose(visit, &flexion(Side::Right, 50), &source("right fifty"))
        .unwrap();
    record
        .correct_proposal(first, &flexion(Side::Left, 45), "correction forty five")
        .unwrap();
    record.disregard(second).unwrap();
    drop(record);
    let mut record = reopened(home.path());
    assert_eq!(record.visit_for("P-12").unwrap(), visit);
    let heard = "left forty; correction forty five".to_owned();
    let waits = Proposal {
        id: first,
        finding: flexion(Side::Left, 45),
        heard,
    };
    assert_eq!(record.pending(visit).unwrap(), [waits]);
}

#[test]
fn a_correction_of_a_finding_erases_nothing() {
    let (home, mut record) = new_record();
    let visit = record.visit_for("P-12").unwrap();
    let id = record_one(&mut record, visit, &flexion(Side::Left, 40), "left forty");
    let new = flexion(Side::Left, 45);
    let proposal = record
        .propose(visit, &new, &source("correction forty five"))
        .unwrap();
    let confirmed = confirmed(proposal, &new, "");
    record.correct_finding(id, &confirmed).unwrap();
    let case = record.case("P-12").unwrap();
    let findings = &case.visits[0].findings;
    assert_eq!(
        (findings.len(), findings[0].id, &findings[0].finding),
        (1, id, &new)
    );
    assert_eq!(findings[0].heard, "correction forty five");
    assert!(record.pending(visit).unwrap().is_empty());
    record.verify().unwrap();

    // Another client's finding is out of reach.
    let other = record.visit_for("P-13").unwrap();
    let proposal = record.propose(other, &new, &source("forty five")).unwrap();
    let error = record
        .correct_finding(id, &super::confirmed(proposal, &new, ""))
        .unwrap_err();
    assert!(matches!(error, RecordError::NoFinding), "{error}");

    drop(record);
    let sql = "SELECT count(*) FROM acts WHERE what = 'confirmed' AND body ->> '$.finding.degrees.to' = 40";
    assert_eq!(
        raw(home.path())
            .query_row(sql, [], |row| row.get::<_, i64>(0))
            .unwrap(),
        1
    );
}

#[test]
fn a_client_has_one_open_visit_a_day() {
    let (_home, mut record) = new_record();
    let [one, two] = ["2025-11-25", "2025-12-02"].map(|date| date.parse().unwrap());
    let visit = record.visit_on("P-12", one).unwrap();
    assert_eq!(record.visit_on("P-12", one).unwrap(), visit);
    assert_ne!(record.visit_on("P-12", two).unwrap(), visit);
    assert_ne!(record.visit_on("P-13", one).unwrap(), visit);

    let proposal = record
        .propose(visit, &flexion(Side::Left, 40), &source("forty"))
        .unwrap();
    assert!(matches!(
        record.sign_visit(visit, false),
        Err(RecordError::StillWaiting(1))
    ));
    record.disregard(proposal).unwrap();
    record.sign_visit(visit, false).unwrap();
    assert!(matches!(
        record.sign_visit(visit, false),
        Err(RecordError::VisitClosed)
    ));
    let error = record
        .propose(visit, &flexion(Side::Left, 40), &source("forty"))
        .unwrap_err();
    assert!(matches!(error, RecordError::VisitClosed), "{error}");
    assert_ne!(record.visit_on("P-12", one).unwrap(), visit);
}
