//! The record's file: made for its owner alone, and never opened without encryption.

use std::ffi::{c_int, c_void};
use std::fs::{self, File, Permissions};
use std::io;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::sync::Once;
use std::time::Duration;

use rusqlite::{Connection, ErrorCode, OpenFlags, ffi};
use tempfile::NamedTempFile;

use super::{Passphrase, RecordError};
use crate::own_file::make_folder;

/// How long another program may hold the record before that is reported.
const PATIENCE: Duration = Duration::from_secs(5);
/// Statements that are kept ready: all that writing uses.
const STATEMENTS: usize = 64;
/// SQLCipher's page size, in bytes; a whole file is a multiple of it.
const PAGE: u64 = 4096;

/// The record's file in the folder `home`.
pub(super) fn path(home: &Path) -> PathBuf {
    home.join("record.db")
}

/// Makes the record's file: `fill` gets an empty encrypted database and hands it back filled. The file takes
/// its name only when it is complete, so a half-made record is never found under it.
pub(super) fn create(
    home: &Path,
    passphrase: &Passphrase,
    fill: impl FnOnce(Connection) -> Result<Connection, RecordError>,
) -> Result<(), RecordError> {
    let folder = |source| RecordError::Folder {
        path: home.to_owned(),
        source,
    };
    let path = path(home);
    if path.exists() {
        return Err(RecordError::RecordExists(home.to_owned()));
    }
    make_folder(home).map_err(folder)?;
    // The temporary file is readable by its owner alone from its first moment.
    let making = tempfile::Builder::new()
        .prefix(".record-")
        .tempfile_in(home)
        .map_err(folder)?;
    close_to_others(home).map_err(folder)?;

    let conn = fill(connect(making.path(), passphrase)?)?;
    conn.close().map_err(|(_, error)| error)?;
    take_name(making, &path).map_err(|error| match error.kind() {
        io::ErrorKind::AlreadyExists => RecordError::RecordExists(home.to_owned()),
        _ => folder(error),
    })
}

/// Gives a file that is complete its name, which must be free. The name, too, outlasts a power cut.
pub(super) fn take_name(making: NamedTempFile, path: &Path) -> io::Result<()> {
    making.persist_noclobber(path).map_err(|error| error.error)?;
    File::open(folder_of(path))?.sync_all()
}

/// The folder that a file is in.
pub(super) fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// Opens the record's file.
pub(super) fn open(home: &Path, passphrase: &Passphrase) -> Result<Connection, RecordError> {
    let path = path(home);
    if !path.exists() {
        return Err(RecordError::NoRecord(home.to_owned()));
    }
    open_file(&path, passphrase)
}

/// Opens a record's file, whatever it is called.
pub(super) fn open_file(path: &Path, passphrase: &Passphrase) -> Result<Connection, RecordError> {
    if is_plaintext(path) {
        return Err(RecordError::NotEncrypted(path.to_owned()));
    }
    connect(path, passphrase)
}

/// Takes the folder's permissions away from everyone but its owner; a folder that is shared on purpose, which
/// the sticky bit tells, stays as it is.
pub(super) fn close_to_others(home: &Path) -> io::Result<()> {
    let mode = fs::metadata(home)?.permissions().mode();
    if mode & 0o077 == 0 || mode & 0o1000 != 0 {
        return Ok(());
    }
    fs::set_permissions(home, Permissions::from_mode(mode & 0o700))
}

/// A connection whose encryption is proven: without these checks an empty key, or a library without
/// SQLCipher, would go on in plaintext and say nothing.
fn connect(path: &Path, passphrase: &Passphrase) -> Result<Connection, RecordError> {
    ready_to_encrypt();
    let conn = keyed(path, passphrase)?;
    let cipher = conn.pragma_query_value(None, "cipher_version", |row| row.get::<_, String>(0));
    if !cipher.is_ok_and(|version| !version.is_empty()) {
        return Err(RecordError::NoEncryption);
    }
    conn.query_row("SELECT count(*) FROM sqlite_master", [], |_| Ok(()))
        .map_err(|error| why_unreadable(path, error))?;

    // A commit is on the disk, not only on its way there, before it returns.
    conn.pragma_update(None, "journal_mode", "WAL")?;
    conn.pragma_update(None, "synchronous", "FULL")?;
    conn.pragma_update(None, "fullfsync", true)?;
    // What is erased is gone, not only let go of.
    conn.pragma_update_and_check(None, "secure_delete", true, |_| Ok(()))?;
    conn.pragma_update(None, "foreign_keys", true)?;
    conn.pragma_update(None, "temp_store", "MEMORY")?;
    Ok(conn)
}

/// SQLite calls itself initialised before SQLCipher is: a second thread that opened a file in that moment would be refused its key.
fn ready_to_encrypt() {
    static READY: Once = Once::new();
    READY.call_once(|| drop(Connection::open_in_memory()));
}

fn keyed(path: &Path, passphrase: &Passphrase) -> rusqlite::Result<Connection> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let conn = Connection::open_with_flags(path, flags)?;
    conn.busy_timeout(PATIENCE)?;
    conn.set_prepared_statement_cache_capacity(STATEMENTS);
    conn.pragma_update(None, "cipher_log_level", "NONE")?;
    hand_over(&conn, passphrase, ffi::sqlite3_key)?;
    Ok(conn)
}

/// A function of SQLCipher that takes a key.
type TakesKey = unsafe extern "C" fn(*mut ffi::sqlite3, *const c_void, c_int) -> c_int;

/// Hands the passphrase over as it is. A statement that holds it could stay in memory after it has run.
pub(super) fn hand_over(conn: &Connection, passphrase: &Passphrase, to: TakesKey) -> rusqlite::Result<()> {
    let words = passphrase.expose().as_bytes();
    let length = c_int::try_from(words.len()).unwrap_or(c_int::MAX);
    // SAFETY: the connection is open as long as `conn` lives; the words are there for as long as the call, which copies them.
    let code = unsafe { to(conn.handle(), words.as_ptr().cast(), length) };
    match code {
        ffi::SQLITE_OK => Ok(()),
        code => Err(rusqlite::Error::SqliteFailure(ffi::Error::new(code), None)),
    }
}

/// A wrong key and a spoilt first page look alike to SQLCipher; a file that was cut short does not.
fn why_unreadable(path: &Path, error: rusqlite::Error) -> RecordError {
    let length = fs::metadata(path).map_or(0, |file| file.len());
    match error.sqlite_error_code() {
        Some(ErrorCode::NotADatabase | ErrorCode::DatabaseCorrupt) if !length.is_multiple_of(PAGE) => {
            RecordError::Incomplete
        }
        Some(ErrorCode::NotADatabase) => RecordError::WrongPassphrase,
        // The file is shorter than its first page says.
        Some(ErrorCode::DatabaseCorrupt) => RecordError::Incomplete,
        _ => error.into(),
    }
}

fn is_plaintext(path: &Path) -> bool {
    const HEADER: &[u8] = b"SQLite format 3\0";
    let mut start = [0; HEADER.len()];
    File::open(path)
        .and_then(|mut file| io::Read::read_exact(&mut file, &mut start))
        .is_ok()
        && start == HEADER
}

#[cfg(test)]
mod tests {
    use super::*;

    /// In a process of its own, since it is about the first moment: this test is the only one there.
    #[test]
    fn many_threads_can_open_a_record_first() {
        const ALONE: &str = "COUCHSIDE_TEST_OPENS_FIRST";
        if let Some(home) = std::env::var_os(ALONE) {
            let start = std::sync::Barrier::new(8);
            std::thread::scope(|scope| {
                for _ in 0..8 {
                    scope.spawn(|| {
                        start.wait();
                        open(Path::new(&home), &passphrase()).unwrap();
                    });
                }
            });
            return;
        }
        let home = tempfile::tempdir().unwrap();
        create(home.path(), &passphrase(), |conn| {
            conn.execute_batch("CREATE TABLE rows (id INTEGER PRIMARY KEY)")?;
            Ok(conn)
        })
        .unwrap();
        for _ in 0..100 {
            let run = std::process::Command::new(std::env::current_exe().unwrap())
                .args(["many_threads_can_open_a_record_first", "--test-threads=1"])
                .env(ALONE, home.path())
                .output()
                .unwrap();
            assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stdout));
        }
    }

    /// A key instead of a passphrase, from which one is made slowly on purpose.
    fn passphrase() -> Passphrase {
        Passphrase::new(format!("x'{}'", "0123456789abcdef".repeat(6))).unwrap()
    }
}
