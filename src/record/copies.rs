//! Copies of the record: whole, encrypted as it is, and proven before they take their name.

use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};
use std::thread::sleep;
use std::time::{Duration, Instant};

use rusqlite::{Transaction, TransactionBehavior};

use super::{Passphrase, Record, RecordError, Verified, file, schema};
use crate::own_file::make_folder;

/// How long a moment is waited for in which nothing is being written.
const PATIENCE: Duration = Duration::from_secs(5);

impl Record {
    /// Copies the whole record into the file `to`, which must not be there, and checks the copy as
    /// [`Record::verify`] does. The record may be in use meanwhile: the copy is of one moment, and writing waits for it.
    ///
    /// # Errors
    /// There is such a file, it can't be written, the record is damaged, or another program holds it.
    pub fn back_up(&self, to: &Path, passphrase: &Passphrase) -> Result<Verified, RecordError> {
        let from = PathBuf::from(self.conn.path().unwrap_or_default());
        let still = self.held_still(&from)?;
        let whole = copied(&from, to, passphrase)?;
        drop(still);
        Ok(whole)
    }

    /// Makes a copy the record of the folder `home`, which must not have one, after checking it.
    ///
    /// # Errors
    /// There is a record, there is no such copy, the passphrase does not open it, or it is damaged. Then no record is left.
    pub fn restore(from: &Path, home: &Path, passphrase: &Passphrase) -> Result<Verified, RecordError> {
        if Record::exists(home) {
            return Err(RecordError::RecordExists(home.to_owned()));
        }
        if !from.is_file() {
            return Err(RecordError::NoCopy(from.to_owned()));
        }
        let folder = |source| RecordError::Folder {
            path: home.to_owned(),
            source,
        };
        make_folder(home).map_err(folder)?;
        let whole = copied(from, &file::path(home), passphrase)?;
        file::close_to_others(home).map_err(folder)?;
        Ok(whole)
    }

    /// Keeps the record of an older form beside, as it is, before it is brought up to date.
    pub(super) fn keep_old(&self, home: &Path, form: u32) -> Result<(), RecordError> {
        let (from, to) = (file::path(home), home.join(format!("record-form-{form}.db")));
        if to.exists() {
            return Ok(());
        }
        let still = self.held_still(&from)?;
        let failed = |source: io::Error| RecordError::Copy {
            path: to.clone(),
            source,
        };
        let making = raw_copy(&from, home).map_err(failed)?;
        file::take_name(making, &to).map_err(failed)?;
        drop(still);
        Ok(())
    }

    /// Everything is in the one file, and as long as the transaction lives nobody writes to it.
    fn held_still(&self, path: &Path) -> Result<Transaction<'_>, RecordError> {
        let log = PathBuf::from(format!("{}-wal", path.display()));
        let until = Instant::now() + PATIENCE;
        loop {
            self.conn
                .query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))?;
            let still = Transaction::new_unchecked(&self.conn, TransactionBehavior::Immediate)?;
            // Somebody may have written between the two.
            if std::fs::metadata(&log).map_or(0, |log| log.len()) == 0 {
                return Ok(still);
            }
            drop(still);
            if Instant::now() > until {
                return Err(RecordError::Busy);
            }
            sleep(Duration::from_millis(20));
        }
    }
}

/// Copies a record's file; the copy takes its name only once it has been checked.
fn copied(from: &Path, to: &Path, passphrase: &Passphrase) -> Result<Verified, RecordError> {
    let failed = |source: io::Error| RecordError::Copy {
        path: to.to_owned(),
        source,
    };
    if to.exists() {
        return Err(RecordError::CopyExists(to.to_owned()));
    }
    let making = raw_copy(from, file::folder_of(to)).map_err(failed)?;
    let mut conn = file::open_file(making.path(), passphrase)?;
    schema::check(&conn)?;
    schema::migrate(&mut conn)?;
    let copy = Record::of(conn);
    let whole = copy.verify()?;
    copy.conn.close().map_err(|(_, error)| error)?;
    file::take_name(making, to).map_err(|error| match error.kind() {
        io::ErrorKind::AlreadyExists => RecordError::CopyExists(to.to_owned()),
        _ => failed(error),
    })?;
    Ok(whole)
}

/// A copy as it is, in a file that has no name of its own yet.
fn raw_copy(from: &Path, folder: &Path) -> io::Result<tempfile::NamedTempFile> {
    // Readable by its owner alone from its first moment.
    let mut making = tempfile::Builder::new().prefix(".copy-").tempfile_in(folder)?;
    io::copy(&mut File::open(from)?, making.as_file_mut())?;
    making.as_file().sync_all()?;
    Ok(making)
}
