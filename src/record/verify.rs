//! Is the record as it was written? Every page, every act, and what the acts amount to.

use rusqlite::types::Value;
use rusqlite::{Connection, Row, Transaction, TransactionBehavior};

use super::project::project;
use super::sounds::digest;
use super::{Record, RecordError, chain, index, schema};

/// What each table of what the acts amount to is called in messages, and how it is read in order.
const PROJECTIONS: [(&str, &str); 9] = [
    ("clients", "SELECT * FROM clients ORDER BY id"),
    ("visits", "SELECT * FROM visits ORDER BY id"),
    ("proposals", "SELECT * FROM proposals ORDER BY id"),
    ("findings", "SELECT * FROM findings ORDER BY id"),
    ("what was not understood", "SELECT * FROM unclear ORDER BY id"),
    ("sound clips", "SELECT * FROM clips ORDER BY id"),
    ("what was examined", "SELECT * FROM subjects ORDER BY finding"),
    ("numbers given", "SELECT * FROM given ORDER BY what"),
    (
        "words of the findings",
        "SELECT rowid, heard, finding FROM findings_words ORDER BY rowid",
    ),
];

/// What a whole record holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Verified {
    pub acts: i64,
    pub clients: i64,
    pub visits: i64,
    pub findings: i64,
}

impl Record {
    /// Checks every page's authentication code and the database's structure, follows the chain of acts, and
    /// rebuilds from the acts, in memory, what the tables must hold.
    ///
    /// Acts cut off at the end together with all that they amount to leave a shorter but whole record: only a
    /// copy could show that.
    ///
    /// # Errors
    /// The first fault found.
    pub fn verify(&self) -> Result<Verified, RecordError> {
        // Holding the right to write keeps the file still while its pages are read. Nothing is written.
        let tx = Transaction::new_unchecked(&self.conn, TransactionBehavior::Immediate)?;
        check_pages(&tx)?;
        let mut rebuilt = Connection::open_in_memory()?;
        schema::migrate(&mut rebuilt)?;
        let rebuilding = rebuilt.transaction()?;
        let acts = chain::walk(&tx, |act| project(&rebuilding, act))?;
        index::catch_up_as_far_as(&tx, &rebuilding)?;
        rebuilding.commit()?;
        for (name, in_order) in PROJECTIONS {
            compare(name, in_order, &tx, &rebuilt)?;
        }
        check_sounds(&tx)?;
        let count = |table| tx.query_row(&format!("SELECT count(*) FROM {table}"), [], |row| row.get(0));
        Ok(Verified {
            acts,
            clients: count("clients")?,
            visits: count("visits")?,
            findings: count("findings WHERE withdrawn IS NULL")?,
        })
    }
}

fn check_pages(conn: &Connection) -> Result<(), RecordError> {
    // One row for each page that fails its authentication code or is not whole.
    let mut faults = conn.prepare("PRAGMA cipher_integrity_check")?;
    match faults.query_map([], |_| Ok(()))?.count() {
        0 => {}
        1 => {
            return Err(RecordError::Damaged(
                "a page of its file was changed or cut short".to_owned(),
            ));
        }
        pages => {
            return Err(RecordError::Damaged(format!(
                "{pages} pages of its file were changed or cut short"
            )));
        }
    }
    let structure: String = conn.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
    if structure != "ok" {
        return Err(RecordError::Damaged(
            "the order of its pages is broken".to_owned(),
        ));
    }
    if conn.prepare("PRAGMA foreign_key_check")?.exists([])? {
        return Err(RecordError::Damaged(
            "an entry belongs to another that is not there".to_owned(),
        ));
    }
    Ok(())
}

/// Every clip that was not erased is there and is as it was kept; none is there that is not of the acts.
fn check_sounds(conn: &Connection) -> Result<(), RecordError> {
    let damaged = || RecordError::Damaged("a sound clip is not as it was kept".to_owned());
    let mut kept = conn
        .prepare("SELECT sha256, sound FROM clips LEFT JOIN clip_sounds ON clip = id WHERE erased IS NULL")?;
    let mut rows = kept.query([])?;
    let mut clips = 0_i64;
    while let Some(row) = rows.next()? {
        let (sha256, sound): (String, Option<Vec<u8>>) = (row.get(0)?, row.get(1)?);
        if sound.is_none_or(|sound| digest(&sound) != sha256) {
            return Err(damaged());
        }
        clips += 1;
    }
    let there: i64 = conn.query_row("SELECT count(*) FROM clip_sounds", [], |row| row.get(0))?;
    (there == clips).then_some(()).ok_or_else(damaged)
}

fn compare(name: &str, in_order: &str, kept: &Connection, rebuilt: &Connection) -> Result<(), RecordError> {
    let (mut kept, mut rebuilt) = (kept.prepare(in_order)?, rebuilt.prepare(in_order)?);
    let (mut kept, mut rebuilt) = (kept.query([])?, rebuilt.query([])?);
    loop {
        let (one, other) = (
            kept.next()?.map(values).transpose()?,
            rebuilt.next()?.map(values).transpose()?,
        );
        if one != other {
            return Err(RecordError::Damaged(format!(
                "the list of {name} is not what its history says"
            )));
        }
        if one.is_none() {
            return Ok(());
        }
    }
}

fn values(row: &Row) -> rusqlite::Result<Vec<Value>> {
    (0..row.as_ref().column_count())
        .map(|column| row.get(column))
        .collect()
}
