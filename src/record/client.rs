//! Clients are known by a code alone; the record holds no name.

use rusqlite::{Connection, OptionalExtension, Transaction};

use super::act::Deed;
use super::{RecordError, chain};

const LONGEST: usize = 40;

/// The number of the client with this code, if there is one.
pub(super) fn find(conn: &Connection, code: &str) -> Result<Option<i64>, RecordError> {
    check(code)?;
    Ok(conn
        .query_row("SELECT id FROM clients WHERE code = ?1", [code], |row| row.get(0))
        .optional()?)
}

/// The number of the client with this code, who is added if not there yet.
pub(super) fn find_or_add(tx: &Transaction, code: &str) -> Result<i64, RecordError> {
    if let Some(client) = find(tx, code)? {
        return Ok(client);
    }
    let client = tx.query_row("SELECT coalesce(max(id), 0) + 1 FROM clients", [], |row| {
        row.get(0)
    })?;
    chain::append(
        tx,
        Deed::ClientAdded {
            client,
            code: code.to_owned(),
        },
    )?;
    Ok(client)
}

fn check(code: &str) -> Result<(), RecordError> {
    let allowed = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'-' || byte == b'_';
    if code.is_empty() || code.len() > LONGEST || !code.bytes().all(allowed) {
        return Err(RecordError::ClientCode);
    }
    Ok(())
}
