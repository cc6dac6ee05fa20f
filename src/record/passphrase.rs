//! Another passphrase for the record.

use rusqlite::{Connection, ffi};

use super::{Passphrase, Record, RecordError, file};

impl Record {
    /// Encrypts the whole record with another passphrase: all of it or, if that fails, nothing.
    ///
    /// # Errors
    /// Another program has the record open, as it would go on with the old one; or it cannot be written.
    pub fn change_passphrase(&mut self, new: &Passphrase) -> Result<(), RecordError> {
        // Alone with the file, with nothing in the log beside it.
        journal(&self.conn, "DELETE")?;
        self.conn.pragma_update(None, "locking_mode", "EXCLUSIVE")?;
        let changed = file::hand_over(&self.conn, new, ffi::sqlite3_rekey);
        // The lock is let go of with the next access; with a log it never would be.
        self.conn.pragma_update(None, "locking_mode", "NORMAL")?;
        self.conn
            .query_row("SELECT count(*) FROM sqlite_master", [], |_| Ok(()))?;
        journal(&self.conn, "WAL")?;
        Ok(changed?)
    }
}

/// The way of writing can't be changed while another program has the file open.
fn journal(conn: &Connection, mode: &str) -> Result<(), RecordError> {
    let sql = format!("PRAGMA journal_mode = {mode}");
    let now: String = conn.query_row(&sql, [], |row| row.get(0))?;
    match now.eq_ignore_ascii_case(mode) {
        true => Ok(()),
        false => Err(RecordError::Busy),
    }
}
