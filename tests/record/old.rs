//! A record of every form that was ever written still opens, and says what it said then.

use super::*;

#[test]
fn every_old_record_opens_and_can_be_written_to() {
    let folders: Vec<_> = std::fs::read_dir("tests/old-records")
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.is_dir())
        .collect();
    assert!(!folders.is_empty());
    for folder in folders {
        let home = tempfile::tempdir().unwrap();
        std::fs::copy(folder.join("record.db"), home.path().join("record.db")).unwrap();
        let passphrase = Passphrase::new("a record of the first form".to_owned()).unwrap();
        let mut record = Record::open(home.path(), &passphrase).unwrap();
        record.verify().unwrap();
        let then: serde_json::Value =
            serde_json::from_str(&std::fs::read_to_string(folder.join("case.json")).unwrap()).unwrap();
        let case = record.case("demo-1").unwrap();
        let now = serde_json::to_value(&case).unwrap();
        assert!(still_says(&now, &then), "{}: {now}", folder.display());
        let visit = record.visit_for("demo-1").unwrap();
        record_one(&mut record, visit, &flexion(Side::Left, 100), "left one hundred");
        record.verify().unwrap();
    }
}

/// Whether everything that was said then is said now. More may be.
fn still_says(now: &serde_json::Value, then: &serde_json::Value) -> bool {
    match (now, then) {
        (serde_json::Value::Object(now), serde_json::Value::Object(then)) => then
            .iter()
            .all(|(name, then)| now.get(name).is_some_and(|now| still_says(now, then))),
        (serde_json::Value::Array(now), serde_json::Value::Array(then)) => {
            now.len() == then.len() && now.iter().zip(then).all(|(now, then)| still_says(now, then))
        }
        (now, then) => now == then,
    }
}
