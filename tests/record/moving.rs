//! Moving house, another passphrase, an older record kept beside, everything made anew, and one listener at a time.

use couchside::record::{Ask, ClipOf, RecordError};

use super::*;

fn filled(record: &mut Record) {
    let visit = record.visit_for("P-12").unwrap();
    record.allow_sound(visit, true).unwrap();
    let said = record
        .propose(
            visit,
            &flexion(Side::Left, 100),
            &source("left “one hundred”\n– é"),
        )
        .unwrap();
    record
        .keep_sound(visit, ClipOf::Proposal(said), &[0.25; 321])
        .unwrap();
    record
        .confirm(visit, &confirmed(said, &flexion(Side::Left, 100), ""))
        .unwrap();
    let other = record.visit_for("P-13").unwrap();
    record_one(record, other, &flexion(Side::Right, 90), "right ninety");
    record.remove_client("P-13").unwrap();
}

#[test]
fn what_is_exported_and_imported_is_the_same() {
    let (home, record) = new_record();
    let mut record = record.acting_as(Some("J. \"K\"\nL.".to_owned()));
    filled(&mut record);
    let folder = tempfile::tempdir().unwrap();
    let (one, two) = (folder.path().join("one.jsonl"), folder.path().join("two.jsonl"));
    record.export(&one).unwrap();
    assert!(matches!(record.export(&one), Err(RecordError::CopyExists(_))));
    let other = folder.path().join("home");
    let whole = Record::import(&one, &other, &passphrase()).unwrap();
    assert_eq!(whole, record.verify().unwrap());
    let imported = Record::open(&other, &passphrase()).unwrap();
    imported.export(&two).unwrap();
    assert_eq!(std::fs::read(&one).unwrap(), std::fs::read(&two).unwrap());
    assert_eq!(imported.case("P-12").unwrap(), record.case("P-12").unwrap());
    assert_eq!(imported.sound(1).unwrap(), record.sound(1).unwrap());
    // A record is never overwritten.
    assert!(matches!(
        Record::import(&one, home.path(), &passphrase()),
        Err(RecordError::RecordExists(_))
    ));
}

#[test]
fn a_spoilt_line_is_not_taken_in_and_leaves_nothing() {
    let (_home, mut record) = new_record();
    filled(&mut record);
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("all.jsonl");
    record.export(&file).unwrap();
    let whole = std::fs::read_to_string(&file).unwrap();
    let lines: Vec<&str> = whole.lines().collect();
    let without = |at: usize| {
        let mut lines = lines.clone();
        lines.remove(at);
        lines.join("\n")
    };
    for (what, text) in [
        ("no first line", without(0)),
        ("an act less", without(3)),
        ("a value changed", whole.replacen("100", "101", 1)),
        ("somebody else", whole.replacen("P-12", "P-99", 1)),
        ("no sound", without(lines.len() - 1)),
        ("half a line", whole[..whole.len() - 40].to_owned()),
        (
            "a newer form",
            whole.replacen("\"couchside_record\":1", "\"couchside_record\":2", 1),
        ),
        ("not JSON", whole.replacen('{', "(", 1)),
    ] {
        std::fs::write(&file, text).unwrap();
        let home = folder.path().join("home");
        assert!(Record::import(&file, &home, &passphrase()).is_err(), "{what}");
        assert!(!Record::exists(&home), "{what}");
    }
}

#[test]
fn another_passphrase_opens_it_and_the_old_one_does_not() {
    let (home, mut record) = new_record();
    filled(&mut record);
    let case = record.case("P-12").unwrap();
    let new = Passphrase::new("quite another one".to_owned()).unwrap();
    record.change_passphrase(&new).unwrap();
    // The same connection goes on, and another can be made.
    assert_eq!(record.case("P-12").unwrap(), case);
    let again = Record::open(home.path(), &new).unwrap();
    assert_eq!(again.case("P-12").unwrap(), case);
    drop((record, again));
    assert!(matches!(
        Record::open(home.path(), &passphrase()),
        Err(RecordError::WrongPassphrase)
    ));
    let mut record = Record::open(home.path(), &new).unwrap();
    record.verify().unwrap();
    let visit = record.visit_for("P-12").unwrap();
    record_one(&mut record, visit, &flexion(Side::Left, 90), "left ninety");
    // Nobody else may have it open: they would go on with the old one.
    let other = Record::open(home.path(), &new).unwrap();
    other.case("P-12").unwrap();
    let error = record.change_passphrase(&passphrase()).unwrap_err();
    assert!(matches!(error, RecordError::Busy), "{error}");
    drop((record, other));
    Record::open(home.path(), &new).unwrap().verify().unwrap();
    // It is asked for twice, or named apart from the old one.
    assert_ne!(Ask::New, Ask::Once);
}

#[test]
fn each_wrong_passphrase_is_answered_later() {
    let (home, record) = new_record();
    drop(record);
    let wrong = || {
        let began = std::time::Instant::now();
        let other = Passphrase::new("not this one".to_owned()).unwrap();
        assert!(matches!(
            Record::open(home.path(), &other),
            Err(RecordError::WrongPassphrase)
        ));
        began.elapsed().as_millis()
    };
    wrong();
    wrong();
    assert!(wrong() >= 1000);
    reopened(home.path());
    assert!(
        !home.path().join(".wrong-passphrases").exists(),
        "the right one ends it"
    );
}

#[test]
fn an_old_record_is_kept_beside_before_it_is_brought_up_to_date() {
    for form in [1, 2, 3] {
        let home = tempfile::tempdir().unwrap();
        let old = std::fs::read(format!("tests/old-records/form-{form}/record.db")).unwrap();
        std::fs::write(home.path().join("record.db"), &old).unwrap();
        let words = Passphrase::new("a record of the first form".to_owned()).unwrap();
        drop(Record::open(home.path(), &words).unwrap());
        let beside = home.path().join(format!("record-form-{form}.db"));
        assert!(
            std::fs::read(&beside).unwrap() == old,
            "form {form} is kept as it was"
        );
        // Once is enough.
        std::fs::remove_file(&beside).unwrap();
        drop(Record::open(home.path(), &words).unwrap());
        assert!(!beside.exists());
    }
}

#[test]
fn what_the_acts_amount_to_is_made_anew_from_them() {
    let (home, mut record) = new_record();
    filled(&mut record);
    let case = record.case("P-12").unwrap();
    drop(record);
    for spoilt in [
        "UPDATE findings SET finding = '{\"kind\":\"note\"}'",
        "DELETE FROM findings",
        "DELETE FROM findings_words",
        "UPDATE clients SET code = 'P-99'",
        "UPDATE visits SET date = '2001-01-01', closed = 'then'",
        "UPDATE proposals SET state = 'pending'",
        "DELETE FROM given",
        "UPDATE clips SET visit = NULL, sha256 = '' WHERE 0",
    ] {
        let conn = raw(home.path());
        conn.execute(spoilt, []).unwrap();
        drop(conn);
        let mut record = reopened(home.path());
        if !spoilt.ends_with("WHERE 0") {
            assert!(record.verify().is_err(), "{spoilt}");
        }
        let mut told = 0;
        let acts = record.rebuild(|done, all| {
            assert!(done <= all);
            told = done;
        });
        assert!(told <= acts.unwrap());
        record.verify().unwrap();
        assert_eq!(record.case("P-12").unwrap(), case, "{spoilt}");
    }
}

#[test]
fn one_program_at_a_time_listens_for_a_client() {
    let (home, mut record) = new_record();
    let mut other = reopened(home.path());
    let alone = record.listen_alone("P-12").unwrap();
    assert!(matches!(other.listen_alone("P-12"), Err(RecordError::ListenedTo)));
    other.listen_alone("P-13").unwrap();
    // Looking and writing go on meanwhile.
    let visit = other.visit_for("P-12").unwrap();
    record_one(&mut other, visit, &flexion(Side::Left, 90), "left ninety");
    drop(alone);
    other.listen_alone("P-12").unwrap();
}
