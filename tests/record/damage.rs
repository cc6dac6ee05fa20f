//! Damage to the file, and changes behind the record's back, are found and said.

use std::fs;
use std::ops::ControlFlow;
use std::sync::LazyLock;

use couchside::finding::Side;
use couchside::record::{RecordError, Verified, Wanted};

use super::*;

const PAGE: usize = 4096;

/// A closed record of two clients with ten findings each. It is made once and copied: making one is slow on
/// purpose.
fn filled() -> TempDir {
    static FILE: LazyLock<Vec<u8>> = LazyLock::new(|| {
        let (home, mut record) = new_record();
        for client in ["P-12", "P-13"] {
            let visit = record.visit_for(client).unwrap();
            for degrees in 0..10 {
                record_one(
                    &mut record,
                    visit,
                    &flexion(Side::Left, degrees),
                    "left hip flexion",
                );
            }
        }
        let whole = Verified {
            acts: 1 + 2 + 2 + 40,
            clients: 2,
            visits: 2,
            findings: 20,
        };
        assert_eq!(record.verify().unwrap(), whole);
        // What is searched is written when somebody searches.
        record
            .search(&Wanted::default(), |_| ControlFlow::Break(()))
            .unwrap();
        drop(record);
        fs::read(home.path().join("record.db")).unwrap()
    });
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("record.db"), &*FILE).unwrap();
    home
}

fn fault(home: &Path) -> RecordError {
    Record::open(home, &passphrase())
        .and_then(|record| record.verify())
        .unwrap_err()
}

#[test]
fn one_spoilt_byte_on_a_page_is_found() {
    let home = filled();
    let file = home.path().join("record.db");
    let whole = fs::read(&file).unwrap();
    let pages = whole.len() / PAGE;
    // Every one would take long: opening a record is slow on purpose.
    for page in (0..pages).step_by(4).chain([pages - 1]) {
        let mut spoilt = whole.clone();
        spoilt[page * PAGE + 1000] ^= 1;
        fs::write(&file, &spoilt).unwrap();
        let error = fault(home.path());
        match page {
            // Nothing tells a wrong key from a first page that cannot be decrypted.
            0 => assert!(matches!(error, RecordError::WrongPassphrase), "{error}"),
            _ => assert!(matches!(error, RecordError::Damaged(_)), "page {page}: {error}"),
        }
    }
    fs::write(&file, &whole).unwrap();
    reopened(home.path()).verify().unwrap();
}

#[test]
fn a_file_that_was_cut_short_is_incomplete() {
    let home = filled();
    let file = home.path().join("record.db");
    let whole = fs::read(&file).unwrap();
    for length in [0, 10, 1000, PAGE, PAGE + 1, whole.len() - PAGE] {
        fs::write(&file, &whole[..length]).unwrap();
        let error = fault(home.path());
        assert!(
            matches!(error, RecordError::Incomplete),
            "{length} bytes: {error}"
        );
        assert!(
            error
                .to_string()
                .starts_with("the record is incomplete: its file was only half written")
        );
    }
    // Part of the last page alone is missed only by who reads all pages.
    fs::write(&file, &whole[..whole.len() - 1]).unwrap();
    let error = fault(home.path()).to_string();
    assert!(
        error.contains("a page of its file was changed or cut short"),
        "{error}"
    );
}

/// Runs SQL behind the record's back and returns what verify then says.
fn after(sql: &str) -> String {
    let home = filled();
    raw(home.path()).execute_batch(sql).unwrap();
    fault(home.path()).to_string()
}

#[test]
fn a_changed_act_is_found() {
    let said = after(
        "DROP TRIGGER acts_are_never_changed;
         UPDATE acts SET body = replace(body, '\"to\":3', '\"to\":4') WHERE id = 11",
    );
    assert_eq!(
        said,
        "the record is damaged: act 11 of its history was changed after it was written; keep the file as it is \
         and go back to a copy"
    );
    assert!(
        after(
            "DROP TRIGGER acts_are_never_changed; UPDATE acts SET at = '2020-01-01T00:00:00Z' WHERE id = 2"
        )
        .contains("act 2 of its history was changed")
    );
}

#[test]
fn a_missing_or_exchanged_act_is_found() {
    let missing = after("DROP TRIGGER acts_are_never_deleted; DELETE FROM acts WHERE id = 7");
    assert!(missing.contains("act 7 of its history is missing"), "{missing}");
    let exchanged = after(
        "DROP TRIGGER acts_are_never_changed;
         UPDATE acts SET id = -id WHERE id IN (7, 9);
         UPDATE acts SET id = CASE id WHEN -7 THEN 9 ELSE 7 END WHERE id IN (-7, -9)",
    );
    assert!(
        exchanged.contains("act 7 of its history does not follow the one before"),
        "{exchanged}"
    );
}

#[test]
fn a_list_that_is_not_what_the_acts_say_is_found() {
    for (list, sql) in [
        (
            "findings",
            "UPDATE findings SET finding = replace(finding, 'left', 'right') WHERE id = 5",
        ),
        ("findings", "UPDATE findings SET model = 'other' WHERE id = 20"),
        ("findings", "DELETE FROM findings WHERE id = 20"),
        ("proposals", "UPDATE proposals SET state = 'pending' WHERE id = 3"),
        ("visits", "UPDATE visits SET date = '2020-01-01' WHERE id = 1"),
        ("clients", "UPDATE clients SET code = 'P-99' WHERE id = 1"),
        (
            "clients",
            "INSERT INTO clients (id, code, at) VALUES (3, 'P-14', '')",
        ),
        (
            "words of the findings",
            "DELETE FROM findings_words WHERE rowid = 4",
        ),
        (
            "what was examined",
            "UPDATE subjects SET side = 'right' WHERE finding = 4",
        ),
    ] {
        let said = after(sql);
        assert!(
            said.contains(&format!("the list of {list} is not what its history says")),
            "{sql}: {said}"
        );
    }
}

#[test]
fn the_database_itself_refuses_to_change_or_insert_an_act() {
    let home = filled();
    let conn = raw(home.path());
    for (sql, said) in [
        ("UPDATE acts SET at = '' WHERE id = 3", "an act is never changed"),
        ("DELETE FROM acts WHERE id = 45", "an act is never deleted"),
        (
            "INSERT OR REPLACE INTO acts SELECT 3, at, what, body, prior, hash, who, why FROM acts WHERE id = 4",
            "an act is only added after the last one",
        ),
        (
            "INSERT INTO acts SELECT 46, at, what, body, prior, hash, who, why FROM acts WHERE id = 45",
            "an act is only added after the last one",
        ),
    ] {
        let error = conn.execute(sql, []).unwrap_err().to_string();
        assert!(error.contains(said), "{sql}: {error}");
    }
    drop(conn);
    reopened(home.path()).verify().unwrap();
}
