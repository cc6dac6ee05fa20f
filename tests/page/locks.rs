//! The record is closed until its passphrase is typed, and again when it is locked.

use super::*;

#[test]
fn nothing_is_shown_while_it_is_locked() {
    let served = served(record().0, false);
    for path in [
        "/",
        "/client/P-12",
        "/client/P-12/visit/1",
        "/search?q=hip",
        "/read?words=hip",
        "/finding/1",
        "/sound/1",
    ] {
        let answer = served.get(path);
        assert_eq!(
            (answer.status, answer.header("location")),
            (303, Some("/unlock")),
            "{path}"
        );
        assert!(!answer.body.contains("P-12"));
    }
    let refused = served.post("/unlock", &[("words", "another one")]);
    assert!(
        refused.body.contains("The passphrase does not open this record"),
        "{}",
        refused.body
    );
    assert_eq!(served.get("/").status, 303);
    let empty = served.post("/unlock", &[("words", "")]);
    assert!(empty.body.contains("The passphrase is empty"), "{}", empty.body);

    assert_eq!(
        served.post("/unlock", &[("words", &words())]).header("location"),
        Some("/")
    );
    assert!(served.get("/").body.contains("P-12"));
    served.post("/lock", &[]);
    assert_eq!(served.get("/client/P-12").header("location"), Some("/unlock"));
}

#[test]
fn the_first_record_is_made_here() {
    let served = served(tempfile::tempdir().unwrap(), false);
    assert!(served.get("/unlock").body.contains("There is no record yet"));
    let differ = served.post("/new", &[("words", &words()), ("again", "x")]);
    assert!(
        differ.body.contains("The two passphrases differ"),
        "{}",
        differ.body
    );
    assert!(!Record::exists(served.home.path()));
    assert_eq!(
        served
            .post("/new", &[("words", &words()), ("again", &words())])
            .header("location"),
        Some("/")
    );
    assert!(served.get("/").body.contains("There is no client yet"));
    reopened(served.home.path()).verify().unwrap();
}
