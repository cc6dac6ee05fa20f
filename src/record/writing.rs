//! One transaction that writes, and who does it.

use std::ops::Deref;

use rusqlite::{Connection, Transaction};

use super::RecordError;

/// Holds the right to write from its start. What is not committed is not kept.
pub(super) struct Writing<'a> {
    pub tx: Transaction<'a>,
    /// Whoever acts, if they gave a name.
    pub who: Option<&'a str>,
    pub why: Option<&'a str>,
}

impl Deref for Writing<'_> {
    type Target = Connection;

    fn deref(&self) -> &Connection {
        &self.tx
    }
}

/// The next number in a table: one that was never given, not even to what has been removed since.
pub(super) fn next(conn: &Connection, table: &str) -> Result<i64, RecordError> {
    let sql = format!(
        "SELECT max(coalesce((SELECT max(id) FROM {table}), 0),
                    coalesce((SELECT up_to FROM given WHERE what = '{table}'), 0)) + 1"
    );
    Ok(conn.prepare_cached(&sql)?.query_row([], |row| row.get(0))?)
}
