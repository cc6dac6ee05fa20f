//! The commands, as a person runs them.

use std::fs;
use std::os::unix::fs::{MetadataExt, PermissionsExt};
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::process::{Command, Output};

use couchside::finding::Side;

use super::*;

fn couchside(home: &Path, words: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_couchside"));
    command
        .args(words)
        .env("COUCHSIDE_HOME", home)
        .env("COUCHSIDE_PASSPHRASE", WORDS);
    command.env_remove("COUCHSIDE_PASSPHRASE_FILE");
    command
}

/// Its exit status, and what it said.
fn said(mut command: Command) -> (i32, String, String) {
    let Output {
        status,
        stdout,
        stderr,
    } = command.output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (status.code().unwrap(), text(stdout), text(stderr))
}

#[test]
fn from_new_to_show() {
    let outer = tempfile::tempdir().unwrap();
    let home = outer.path().join("home");
    let (status, out, err) = said(couchside(&home, &["show", "--client", "P-12"]));
    assert_eq!((status, out.as_str()), (1, ""));
    let folder = home.display();
    let none =
        format!("couchside: there is no record in {folder} yet; make one with `couchside record new`\n");
    assert_eq!(err, none);

    let (status, out, err) = said(couchside(&home, &["record", "new"]));
    assert_eq!((status, err.as_str()), (0, ""));
    assert!(
        out.starts_with(&format!("An empty, encrypted record is now in {folder}.\n")),
        "{out}"
    );
    let (status, _, err) = said(couchside(&home, &["record", "new"]));
    assert_eq!(status, 1);
    assert!(err.contains("already, and it is left as it is"), "{err}");
    let (status, _, err) = said(couchside(&home, &["show", "--client", "P-12"]));
    assert_eq!(
        (status, err.as_str()),
        (
            1,
            "couchside: no client has this code in the record; check the code\n"
        )
    );

    let mut record = reopened(&home);
    let visit = record.visit_for("P-12").unwrap();
    let (status, out, _) = said(couchside(&home, &["show", "--client", "P-12"]));
    assert_eq!(
        (status, out.as_str()),
        (
            0,
            "Client P-12\n\nNothing has been recorded for this client yet.\n"
        )
    );

    // The record may be open in another program meanwhile.
    record_one(
        &mut record,
        visit,
        &flexion(Side::Left, 110),
        "left hip flexion active one ten",
    );
    let (status, out, err) = said(couchside(&home, &["show", "--client", "P-12", "--json"]));
    assert_eq!((status, err.as_str()), (0, ""));
    let case: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(case, serde_json::to_value(record.case("P-12").unwrap()).unwrap());
    let (_, out, _) = said(couchside(&home, &["show", "--client", "P-12"]));
    assert!(out.contains("  flexion  active  110°\n"), "{out}");
    let (status, out, _) = said(couchside(&home, &["record", "verify"]));
    assert_eq!(status, 0);
    assert!(
        out.starts_with("The record is whole.\nClients: 1. Visits: 1. Findings: 1."),
        "{out}"
    );
}

#[test]
fn the_passphrase_is_the_first_line_of_its_file() {
    let (home, record) = new_record();
    drop(record);
    let file = home.path().join("passphrase");
    let with = |content: &[u8]| {
        fs::write(&file, content).unwrap();
        let mut command = couchside(home.path(), &["record", "verify"]);
        command
            .env("COUCHSIDE_PASSPHRASE_FILE", &file)
            .env("COUCHSIDE_PASSPHRASE", "not this one");
        said(command)
    };
    for ending in ["", "\n", "\r\n", "\nsecond line\n"] {
        let (status, _, err) = with(format!("{WORDS}{ending}").as_bytes());
        assert_eq!((status, err.as_str()), (0, ""), "{ending:?}");
    }
    for (content, words) in [
        (
            format!(" {WORDS}").as_bytes(),
            "the passphrase does not open this record",
        ),
        (b"\nsecond line", "the passphrase is empty"),
        (b"", "the passphrase is empty"),
        (b"\xff\xfe", "the passphrase holds a character that is not text"),
    ] {
        let (status, out, err) = with(content);
        assert_eq!((status, out.as_str()), (1, ""));
        // One line: the database library's own log must not be seen.
        assert!(
            err.starts_with(&format!("couchside: {words}")) && err.lines().count() == 1,
            "{err}"
        );
    }
    let mut command = couchside(home.path(), &["record", "verify"]);
    command.env("COUCHSIDE_PASSPHRASE_FILE", home.path().join("none"));
    let (status, _, err) = said(command);
    assert_eq!(status, 1);
    assert!(
        err.starts_with("couchside: could not read the passphrase from "),
        "{err}"
    );
    assert!(
        err.contains("the file that COUCHSIDE_PASSPHRASE_FILE names"),
        "{err}"
    );
}

#[test]
fn verify_fails_on_a_damaged_record() {
    let (home, record) = new_record();
    drop(record);
    let file = home.path().join("record.db");
    let mut bytes = fs::read(&file).unwrap();
    *bytes.last_mut().unwrap() ^= 1;
    fs::write(&file, bytes).unwrap();
    let (status, out, err) = said(couchside(home.path(), &["record", "verify"]));
    assert_eq!((status, out.as_str()), (1, ""));
    assert!(
        err.starts_with("couchside: the record is damaged: a page of its file was changed or cut short;"),
        "{err}"
    );
    assert_eq!(err.lines().count(), 1, "{err}");
}

#[test]
fn a_folder_that_may_not_be_written_in_is_named() {
    const NOBODY: u32 = 65534;
    let outer = tempfile::tempdir().unwrap();
    let home = outer.path().join("home");
    fs::create_dir(&home).unwrap();
    // The program lies where another user may not come.
    let program = outer.path().join("couchside");
    fs::copy(env!("CARGO_BIN_EXE_couchside"), &program).unwrap();
    for path in [&program, &home, outer.path()] {
        fs::set_permissions(path, fs::Permissions::from_mode(0o555)).unwrap();
    }
    let mut command = Command::new(&program);
    command
        .args(["record", "new"])
        .env("COUCHSIDE_HOME", &home)
        .env("COUCHSIDE_PASSPHRASE", WORDS);
    command.env_remove("COUCHSIDE_PASSPHRASE_FILE");
    // Permissions do not bind the superuser.
    if fs::metadata(&home).unwrap().uid() == 0 {
        command.uid(NOBODY).gid(NOBODY);
    }
    let (status, _, err) = said(command);
    fs::set_permissions(outer.path(), fs::Permissions::from_mode(0o755)).unwrap();
    assert_eq!(status, 1);
    assert!(
        err.starts_with(&format!(
            "couchside: could not keep a record in {}: Permission",
            home.display()
        )),
        "{err}"
    );
    assert_eq!(fs::read_dir(&home).unwrap().count(), 0);
}
