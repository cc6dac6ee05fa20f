//! Confirmed finding → encrypted record.
//!
//! The record is one SQLite file, encrypted whole by SQLCipher. Its truth is a list of acts that is only ever
//! added to, each carrying the hash of the one before; clients, visits, proposals and findings are what the
//! acts amount to, written in the same transaction. Once a call that writes has returned, neither a crash nor
//! a power cut can lose what it wrote.

mod act;
mod alone;
mod asides;
mod case;
mod chain;
mod client;
mod copies;
mod details;
mod due;
mod error;
mod every;
mod exports;
mod file;
mod findings;
mod history;
mod home;
mod index;
mod key;
mod moving;
mod passphrase;
mod project;
mod proposals;
mod rebuild;
mod removal;
mod schema;
mod search;
mod sounds;
mod transcripts;
mod tries;
mod unclear;
mod utterances;
mod verify;
mod visits;
mod withdrawals;
mod words;
mod writing;

use std::path::Path;

use rusqlite::{Connection, TransactionBehavior};

pub use alone::Alone;
pub use asides::TalkKept;
pub use case::{Case, Kept, ToReview, Visit};
pub use client::Client;
pub use details::{ClientDetails, Sex, VisitDetails, YEARS};
pub use due::{Due, SoundKept};
pub use error::RecordError;
pub use every::Whole;
pub use findings::Recorded;
pub use history::{Done, What};
pub use home::home;
pub use key::{Ask, Passphrase};
pub use proposals::Source;
pub use search::{Comparison, Hit, Limit, Measure, Wanted};
pub use sounds::{Clip, ClipOf};
pub use utterances::{Became, Utterance};
pub use verify::Verified;
pub use visits::VisitId;

use act::Deed;
use writing::Writing;

/// An open record. Several programs may have the same record open; each write is one transaction.
#[derive(Debug)]
pub struct Record {
    conn: Connection,
    /// Whoever acts, and why.
    who: Option<String>,
    why: Option<String>,
}

impl Record {
    fn of(conn: Connection) -> Record {
        Record {
            conn,
            who: None,
            why: None,
        }
    }

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
            let mut record = Record::of(conn);
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
    /// program, or another program holds it for longer than five seconds. A record of an older form is brought up to date; before
    /// that it is kept beside as it is, and if there is no room for that, nothing is done. Each wrong passphrase is answered later
    /// than the one before, by up to eight seconds.
    pub fn open(home: &Path, passphrase: &Passphrase) -> Result<Record, RecordError> {
        let conn = match file::open(home, passphrase) {
            Ok(conn) => conn,
            Err(RecordError::WrongPassphrase) => {
                tries::wrong(home);
                return Err(RecordError::WrongPassphrase);
            }
            Err(error) => return Err(error),
        };
        tries::right(home);
        schema::check(&conn)?;
        let mut record = Record::of(conn);
        if let Some(form) = schema::is_old(&record.conn)? {
            record.keep_old(home, form)?;
        }
        schema::migrate(&mut record.conn)?;
        Ok(record)
    }

    /// Opens the user's record in [`home`] with the passphrase from [`Passphrase::obtain`].
    ///
    /// # Errors
    /// Those of [`Record::open`], and a passphrase that cannot be had.
    pub fn unlock() -> Result<Record, RecordError> {
        let home = home()?;
        Record::open(&home, &Record::passphrase(&home)?)
    }

    /// The passphrase of the record in the folder `home`, from [`Passphrase::obtain`].
    ///
    /// # Errors
    /// There is no record, or the passphrase cannot be had.
    pub fn passphrase(home: &Path) -> Result<Passphrase, RecordError> {
        // Nobody should be asked for the passphrase of a record that is not there.
        if !Record::exists(home) {
            return Err(RecordError::NoRecord(home.to_owned()));
        }
        Passphrase::obtain(Ask::Once)
    }

    /// Whose acts they are from here on: a name or initials, kept with each.
    #[must_use]
    pub fn acting_as(self, who: Option<String>) -> Record {
        Record { who, ..self }
    }

    /// Why it is done, in words kept with each act from here on.
    pub fn say_because(&mut self, why: Option<String>) {
        self.why = why;
    }

    /// Runs `writing` in one transaction that holds the right to write from its start, so that what it reads
    /// first is still so when it writes. If it fails, nothing of it is kept.
    fn write<T>(
        &mut self,
        writing: impl FnOnce(&Writing) -> Result<T, RecordError>,
    ) -> Result<T, RecordError> {
        let tx = self
            .conn
            .transaction_with_behavior(TransactionBehavior::Immediate)?;
        let open = Writing {
            tx,
            who: self.who.as_deref(),
            why: self.why.as_deref(),
        };
        let done = writing(&open)?;
        open.tx.commit()?;
        Ok(done)
    }
}
