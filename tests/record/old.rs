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
        assert_eq!(serde_json::to_value(&case).unwrap(), then, "{}", folder.display());
        let visit = record.visit_for("demo-1").unwrap();
        record_one(&mut record, visit, &flexion(Side::Left, 100), "left one hundred");
        record.verify().unwrap();
    }
}
