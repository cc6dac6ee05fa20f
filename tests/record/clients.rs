//! Clients and visits described, codes merged, and a client removed for good.

use couchside::record::{ClientDetails, ClipOf, RecordError, Sex, VisitDetails, What};

use super::*;

fn details(name: &str, goals: Option<&str>) -> ClientDetails {
    ClientDetails {
        name: Some(name.to_owned()),
        born: Some(1980),
        sex: Some(Sex::Female),
        goals: goals.map(str::to_owned),
        ..ClientDetails::default()
    }
}

#[test]
fn what_is_written_about_a_client_is_kept_and_nothing_need_be() {
    let (home, mut record) = new_record();
    record.add_client("P-12", ClientDetails::default()).unwrap();
    record.add_client("P-13", details("A. B.", None)).unwrap();
    assert!(matches!(
        record.add_client("P-12", ClientDetails::default()),
        Err(RecordError::CodeTaken)
    ));
    record
        .describe_client("P-12", details("C. D.", Some("to run")))
        .unwrap();
    drop(record);
    let record = reopened(home.path());
    assert_eq!(
        record.client("P-12").unwrap().details,
        details("C. D.", Some("to run"))
    );
    let codes: Vec<String> = record
        .clients()
        .unwrap()
        .into_iter()
        .map(|client| client.code)
        .collect();
    assert_eq!(codes, ["P-12", "P-13"]);
    assert!(matches!(record.client("P-14"), Err(RecordError::NoClient)));
    record.verify().unwrap();
}

#[test]
fn two_codes_become_one_client() {
    let (_home, mut record) = new_record();
    for (code, degrees) in [("P-12", 100), ("P-13", 90), ("P-14", 80)] {
        let visit = record.visit_for(code).unwrap();
        record_one(&mut record, visit, &flexion(Side::Left, degrees), "left");
    }
    record
        .describe_client("P-12", details("A. B.", Some("to run")))
        .unwrap();
    record.describe_client("P-13", details("C. D.", None)).unwrap();
    record.merge_clients("P-12", "P-13").unwrap();
    assert!(matches!(
        record.merge_clients("P-12", "P-13"),
        Err(RecordError::SameClient)
    ));
    let client = record.client("P-12").unwrap();
    assert_eq!(
        (client.code.as_str(), client.also.as_slice()),
        ("P-13", &["P-12".to_owned()][..])
    );
    // What the other said is taken where this says nothing.
    assert_eq!(client.details, details("C. D.", Some("to run")));
    assert_eq!(
        record.case("P-12").unwrap().visits,
        record.case("P-13").unwrap().visits
    );
    assert_eq!(record.case("P-13").unwrap().visits.len(), 2);
    assert_eq!(record.clients().unwrap().len(), 2);
    let history = record.history("P-13").unwrap();
    assert_eq!(
        history.iter().filter(|done| done.what == What::Recorded).count(),
        2
    );
    // And once more, with the codes that it has.
    record.merge_clients("P-13", "P-14").unwrap();
    assert_eq!(record.client("P-12").unwrap().code, "P-14");
    assert_eq!(record.case("P-12").unwrap().visits.len(), 3);
    record.verify().unwrap();
}

#[test]
fn a_visit_is_described_and_what_comes_after_the_sign_off_is_an_amendment() {
    let (_home, mut record) = new_record();
    let visit = record.visit_on("P-12", "2025-11-25".parse().unwrap()).unwrap();
    let id = record_one(&mut record, visit, &flexion(Side::Left, 100), "left one hundred");
    let written = VisitDetails {
        treatment: Some("soft tissue release".to_owned()),
        ..VisitDetails::default()
    };
    record.describe_visit(visit, written.clone()).unwrap();
    record.sign_visit(visit, false).unwrap();
    let signed = record.case("P-12").unwrap().visits.remove(0);
    assert_eq!((&signed.details, signed.amended), (&written, None));

    let mut record = record.acting_as(Some("J. K.".to_owned()));
    record.say_because(Some("a slip".to_owned()));
    let better = flexion(Side::Left, 110);
    let proposal = record.propose_for(id, &better, &source("one ten")).unwrap();
    record
        .correct_finding(id, &confirmed(proposal, &better, ""))
        .unwrap();
    let amended = record.case("P-12").unwrap().visits.remove(0);
    assert!(amended.amended.is_some());
    assert_eq!(amended.findings[0].amended, amended.amended);
    assert_eq!(amended.findings[0].finding, better);
    let text = couchside::review::case_table(&record.case("P-12").unwrap());
    assert!(text.contains("signed off, amended"), "{text}");
    assert!(text.contains("Treatment\n  soft tissue release"), "{text}");
    let last = record.history("P-12").unwrap().pop().unwrap();
    assert_eq!(last.what, What::Corrected);
    assert_eq!(
        (last.who.as_deref(), last.why.as_deref()),
        (Some("J. K."), Some("a slip"))
    );
    record.verify().unwrap();
}

const SECRET: &str = "quintessence";

/// A client of whom the record holds a word in every place where one can stand, beside another client.
fn with_secrets(record: &mut Record) -> i64 {
    let visit = record.visit_for("P-13").unwrap();
    record_one(record, visit, &flexion(Side::Left, 80), "of the other");
    record.add_client("P-12", details(SECRET, None)).unwrap();
    let visit = record.visit_for("P-12").unwrap();
    let written = VisitDetails {
        history: Some(SECRET.to_owned()),
        ..VisitDetails::default()
    };
    record.describe_visit(visit, written).unwrap();
    record.allow_sound(visit, true).unwrap();
    record.not_understood(visit, SECRET, "no", true).unwrap();
    let mut note = Finding::new(Kind::Note);
    note.text = Some(SECRET.to_owned());
    let id = record_one(record, visit, &note, SECRET);
    let waits = record.propose(visit, &note, &source(SECRET)).unwrap();
    record
        .keep_sound(visit, ClipOf::Proposal(waits), &[0.5; 64])
        .unwrap();
    record
        .correct_proposal(waits, &flexion(Side::Left, 10), SECRET)
        .unwrap();
    record.park(waits).unwrap();
    id
}

/// Every text and blob in every table of the file.
fn everything(home: &Path) -> String {
    let conn = raw(home);
    let mut tables = conn
        .prepare("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
        .unwrap();
    let tables: Vec<String> = tables
        .query_map([], |row| row.get(0))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    let mut all = String::new();
    for table in tables {
        let mut rows = conn.prepare(&format!("SELECT * FROM {table}")).unwrap();
        let columns = rows.column_count();
        let mut rows = rows.query([]).unwrap();
        while let Some(row) = rows.next().unwrap() {
            for column in 0..columns {
                all += &match row.get_ref(column).unwrap() {
                    rusqlite::types::ValueRef::Text(text) | rusqlite::types::ValueRef::Blob(text) => {
                        String::from_utf8_lossy(text).into_owned()
                    }
                    other => format!("{other:?}"),
                };
                all.push('\n');
            }
        }
    }
    all
}

#[test]
fn a_client_who_is_removed_leaves_nothing_but_that_it_was_done() {
    let (home, mut record) = new_record();
    let id = with_secrets(&mut record);
    let acts = record.verify().unwrap().acts;
    drop(record);
    // The index holds stems.
    assert!(everything(home.path()).contains(SECRET) && everything(home.path()).contains("quintess"));

    let mut record = reopened(home.path()).acting_as(Some("J. K.".to_owned()));
    record.remove_client("P-12").unwrap();
    assert!(matches!(record.client("P-12"), Err(RecordError::NoClient)));
    assert!(matches!(record.remove_client("P-12"), Err(RecordError::NoClient)));
    assert_eq!(record.verify().unwrap().acts, acts + 1);
    let left = everything(home.path());
    assert!(!left.contains("quintess") && !left.contains("P-12"), "{left}");
    assert!(
        left.contains("client removed") && left.contains("J. K."),
        "{left}"
    );
    // The other is as before, and no number is given again.
    assert_eq!(record.case("P-13").unwrap().visits[0].findings.len(), 1);
    let visit = record.visit_for("P-12").unwrap();
    let next = record_one(&mut record, visit, &flexion(Side::Left, 70), "left seventy");
    assert!(next > id, "{next}");
    record.rebuild(|_, _| {}).unwrap();
    record.verify().unwrap();
    let next = record_one(&mut record, visit, &flexion(Side::Left, 60), "left sixty");
    assert!(next > id + 1, "{next}");
}

#[test]
fn an_act_that_is_erased_without_a_removal_is_found() {
    let (home, mut record) = new_record();
    with_secrets(&mut record);
    drop(record);
    let conn = raw(home.path());
    // The schema lets nothing else be changed.
    for sql in [
        "UPDATE acts SET body = '{}' WHERE id = 3",
        "UPDATE acts SET hash = prior WHERE id = 3",
        "UPDATE acts SET body = '{\"erased\":true}', who = 'nobody' WHERE id = 3",
        "DELETE FROM acts WHERE id = 3",
    ] {
        assert!(conn.execute(sql, []).is_err(), "{sql}");
    }
    conn.execute("UPDATE acts SET body = '{\"erased\":true}' WHERE id = 3", [])
        .unwrap();
    drop(conn);
    let error = reopened(home.path()).verify().unwrap_err();
    assert!(
        error
            .to_string()
            .contains("act 3 of its history was erased without"),
        "{error}"
    );
}
