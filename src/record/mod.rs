//! Confirmed finding → encrypted record.
//!
//! The record is one SQLite file, encrypted whole by SQLCipher. Its truth is a list of acts that is only ever
//! added to, each carrying the hash of the one before; clients, visits, proposals and findings are what the
//! acts amount to, written in the same transaction. Once a call that writes has returned, neither a crash nor
//! a power cut can lose what it wrote.

mod act;
mod case;
mod chain;
mod client;
mod copies;
mod due;
mod error;
mod file;
mod findings;
mod history;
mod home;
mod key;
mod project;
mod proposals;
mod schema;
mod search;
mod sounds;
mod unclear;
mod verify;
mod visits;
mod withdrawals;
mod words;

use std::path::Path;

use rusqlite::{Connection, Transaction, TransactionBehavior};

pub use case::{Case, Kept, ToReview, Visit};
pub use due::{Due, SoundKept};
pub use error::RecordError;
pub use findings::Recorded;
pub use history::{Done, What};
pub use home::home;
pub use key::{Ask, Passphrase};
pub use proposals::Source;
pub use search::{Comparison, Hit, Limit, Measure, Wanted};
pub use sounds::{Clip, ClipOf};
pub use verify::Verified;
pub use visits::VisitId;

use act::Deed;

/// An open record. Several programs may have the same record open; each write is one transaction.
#[derive(Debug)]
pub struct Record {
    conn: Connection,
}

impl Record {
    /// Whether `home` holds a record; it may still turn out to be damaged.
    pub fn exists(home: &Path) -> bool {
        file::path(home).exists()
    }

    /// Makes an empty record in the folder `home`, and the folder if need be, both for their owner alone.
    ///
    /// # Errors
    /// A record that is there already is never overwritten. The folder may not be writable or the disk full;
    /// then no file is left behind under the record's name.
    pub fn create(home: &Path, passphrase: &Passphrase) -> Result<Record, RecordError> {
        file::create(home, passphrase, |conn| {
            let mut record = Record { conn };
            schema::migrate(&mut record.conn)?;
            let program = concat!("couchside ", env!("CARGO_PKG_VERSION")).to_owned();
            record.write(|tx| chain::append(tx, Deed::RecordMade { program }))?;
            Ok(record.conn)
        })?;
        Record::open(home, passphrase)
    }

    /// Opens the record in the folder `home`.
    ///
    /// # Errors
    /// There is no record, the passphrase is another one, the file is incomplete, damaged or of a newer
    /// program, or another program holds it for longer than five seconds.
    pub fn open(home: &Path, passphrase: &Passphrase) -> Result<Record, RecordError> {
        let mut conn = file::open(home, passphrase)?;
        schema::check(&conn)?;
        schema::migrate(&mut conn)?;
        Ok(Record { conn })
    }

    /// Opens the user's record in [`home`] with the passphrase from [`Passphrase::obtain`].
    ///
    /// # Errors
    /// Those of [`Record::open`], and a passphrase that cannot be had.
    pub fn unlock() -> Result<Record, RecordError> {
        let home = home()?;
        // Nobody should be asked for the passphrase of a record that is not there.
        if !Record::exists(&home) {
            return Err(RecordError::NoRecord(home));
        }
        Record::open(&home, &Passphrase::obtain(Ask::Once)?)
    }

    /// Runs `writing` in one transaction that holds the right to write from its start, so that what it reads
    /// first is still so when it writes. If it fails, nothing of it is kept.
    fn write<T>(
        &mut self,
        writing: impl FnOnce(&Transaction) -> Result<T, RecordError>,
    ) -> Result<T, RecordError> {
        let tx = self
            .conn
            .transaction_with_behavior(TransactionBehavior::Immediate)?;
        let done = writing(&tx)?;
        tx.commit()?;
        Ok(done)
    }
}
