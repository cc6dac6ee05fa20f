//! The traps of an encrypted database: each would leave something readable and say nothing.

use std::fs;
use std::process::Command;

use super::*;

/// Names the record's folder to this test program run again.
const ALONE: &str = "COUCHSIDE_TEST_WIPES";

/// Every character one further: the passphrase itself is never written where the search could find it.
fn shifted(text: &[u8]) -> Vec<u8> {
    text.iter().map(|byte| byte + 1).collect()
}

/// One less than the passphrase of the test below.
const BEFORE: &[u8] = b"vnqcrsg`smnancxrgntkcjddo";

/// In a program of its own: once the record is closed, its passphrase is nowhere in what that program can write to.
#[test]
fn the_passphrase_is_wiped_from_memory() {
    let Some(home) = std::env::var_os(ALONE) else {
        let home = tempfile::tempdir().unwrap();
        let run = Command::new(std::env::current_exe().unwrap())
            .args([
                "record::traps::the_passphrase_is_wiped_from_memory",
                "--exact",
                "--test-threads=1",
            ])
            .env(ALONE, home.path())
            .output()
            .unwrap();
        assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stdout));
        return;
    };
    let home = Path::new(&home);
    let made = Passphrase::new(String::from_utf8(shifted(BEFORE)).unwrap()).unwrap();
    assert!(found() > 0, "the search finds it while it is there");
    let mut record = Record::create(home, &made).unwrap();
    let visit = record.visit_for("P-12").unwrap();
    record_one(&mut record, visit, &flexion(Side::Left, 100), "left one hundred");
    record.verify().unwrap();
    drop((record, made));
    assert_eq!(found(), 0, "after making and closing");

    let opened = Passphrase::new(String::from_utf8(shifted(BEFORE)).unwrap()).unwrap();
    let mut record = Record::open(home, &opened).unwrap();
    assert_eq!(found(), 1, "once, where whoever opened it keeps it");
    record
        .change_passphrase(&Passphrase::new("another".to_owned()).unwrap())
        .unwrap();
    record.change_passphrase(&opened).unwrap();
    drop((record, opened));
    assert_eq!(found(), 0, "after opening, changing it twice and closing");
}

/// How often the passphrase stands in the memory of this program that can be written to.
fn found() -> usize {
    use std::io::{Read, Seek, SeekFrom};
    let mut memory = fs::File::open("/proc/self/mem").unwrap();
    let mut found = 0;
    // Read in pieces; a buffer of what is read holds it too, for a moment: it is wiped before the next.
    let mut piece = [0_u8; 8192];
    let own = piece.as_ptr() as u64;
    for line in fs::read_to_string("/proc/self/maps").unwrap().lines() {
        let mut words = line.split_whitespace();
        let (range, rights) = (words.next().unwrap(), words.next().unwrap());
        if !rights.starts_with("rw") || line.contains("[v") {
            continue;
        }
        let (from, to) = range.split_once('-').unwrap();
        let (from, to) = (
            u64::from_str_radix(from, 16).unwrap(),
            u64::from_str_radix(to, 16).unwrap(),
        );
        let mut at = from;
        while at < to {
            let length = piece.len().min((to - at) as usize);
            memory.seek(SeekFrom::Start(at)).unwrap();
            if memory.read_exact(&mut piece[..length]).is_ok() {
                let own_piece = at < own + piece.len() as u64 && own < at + length as u64;
                if !own_piece {
                    found += piece[..length]
                        .windows(BEFORE.len())
                        .filter(|window| {
                            window
                                .iter()
                                .zip(BEFORE)
                                .all(|(here, before)| *here == before + 1)
                        })
                        .count();
                }
                piece.fill(0);
            }
            // One that lies across the end of a piece is whole in the next.
            at += (length - BEFORE.len().min(length - 1)) as u64;
            if length < piece.len() {
                break;
            }
        }
    }
    found
}

/// A file of no bytes is a new database to SQLite, which it would fill unencrypted if no key came.
#[test]
fn an_empty_file_is_no_record() {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("record.db"), "").unwrap();
    assert!(Record::open(home.path(), &passphrase()).is_err());
    let bytes = fs::read(home.path().join("record.db")).unwrap();
    assert!(!bytes.starts_with(b"SQLite format 3"), "{} bytes", bytes.len());
}

/// A library without SQLCipher takes any key and encrypts nothing; this one is not such a library, with the settings of SQLCipher 4.
#[test]
fn it_is_encrypted_as_it_should_be() {
    let (home, record) = new_record();
    drop(record);
    let conn = raw(home.path());
    let setting = |name: &str| -> String {
        conn.query_row(&format!("PRAGMA {name}"), [], |row| row.get(0))
            .unwrap()
    };
    assert!(setting("cipher_version").starts_with("4."));
    assert_eq!(setting("kdf_iter"), "256000");
    assert_eq!(setting("cipher_kdf_algorithm"), "PBKDF2_HMAC_SHA512");
    assert_eq!(setting("cipher_hmac_algorithm"), "HMAC_SHA512");
    assert_eq!(setting("cipher_plaintext_header_size"), "0");
    assert_eq!(setting("cipher_use_hmac"), "1");
}

/// Pages as text (`serialize`), and databases that are attached with an empty key, are plaintext: nothing here does either.
#[test]
fn nothing_writes_pages_or_attaches_databases() {
    let manifest = fs::read_to_string("Cargo.toml").unwrap();
    assert!(manifest.contains(r#"rusqlite = { version = "0.43", features = ["bundled-sqlcipher"] }"#));
    let mut folders = vec![Path::new("src").to_owned()];
    let mut files = 0;
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let text = fs::read_to_string(&path).unwrap_or_default();
            files += 1;
            for forbidden in ["ATTACH ", "sqlcipher_export", "VACUUM INTO"] {
                assert!(!text.contains(forbidden), "{forbidden} in {}", path.display());
            }
        }
    }
    assert!(files > 100);
}

/// SQLCipher would print messages of its own about a wrong key.
#[test]
fn a_wrong_passphrase_prints_one_message() {
    let (home, record) = new_record();
    drop(record);
    let run = Command::new(env!("CARGO_BIN_EXE_couchside"))
        .args(["show", "--client", "P-12"])
        .env("COUCHSIDE_HOME", home.path())
        .env("COUCHSIDE_PASSPHRASE", "another")
        .env_remove("COUCHSIDE_PASSPHRASE_FILE")
        .output()
        .unwrap();
    let said = String::from_utf8(run.stderr).unwrap();
    assert_eq!(said.lines().count(), 1, "{said}");
    assert!(
        said.starts_with("couchside: the passphrase does not open this record"),
        "{said}"
    );
}
