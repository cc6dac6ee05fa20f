//! Clients: each is known by a code, and may be described.

use rusqlite::{Connection, OptionalExtension};
use serde::Serialize;

use super::act::Deed;
use super::project::from_json;
use super::writing::{Writing, next};
use super::{ClientDetails, Record, RecordError, chain};

const LONGEST: usize = 40;

/// A client. The serialised form is what `couchside client list --json` prints.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Client {
    pub code: String,
    /// Other codes that name the same client.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<String>,
    #[serde(flatten)]
    pub details: ClientDetails,
    pub visits: u32,
    /// Local date of the latest, ISO 8601.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub last_visit: Option<String>,
}

impl Record {
    /// Adds a client.
    ///
    /// # Errors
    /// The code is not one or is taken, or the record cannot be written.
    pub fn add_client(&mut self, code: &str, details: ClientDetails) -> Result<(), RecordError> {
        self.write(|tx| {
            if find(tx, code)?.is_some() {
                return Err(RecordError::CodeTaken);
            }
            let client = find_or_add(tx, code)?;
            if details != ClientDetails::default() {
                chain::append(tx, Deed::ClientDescribed { client, details })?;
            }
            Ok(())
        })
    }

    /// Writes something else about a client; what was written before stays in the history.
    ///
    /// # Errors
    /// No client has this code, or the record cannot be written.
    pub fn describe_client(&mut self, code: &str, details: ClientDetails) -> Result<(), RecordError> {
        self.write(|tx| {
            let client = find(tx, code)?.ok_or(RecordError::NoClient)?;
            chain::append(tx, Deed::ClientDescribed { client, details })?;
            Ok(())
        })
    }

    /// Makes two codes name one client, whose code is `into`; what is written about the client is what was written there, and where
    /// nothing was, what was written of the other.
    ///
    /// # Errors
    /// There is no such client, or both are the same; or the record cannot be written.
    pub fn merge_clients(&mut self, from: &str, into: &str) -> Result<(), RecordError> {
        self.write(|tx| {
            let from = find(tx, from)?.ok_or(RecordError::NoClient)?;
            let into = find(tx, into)?.ok_or(RecordError::NoClient)?;
            if from == into {
                return Err(RecordError::SameClient);
            }
            chain::append(tx, Deed::ClientsMerged { from, into })?;
            Ok(())
        })
    }

    /// A client.
    ///
    /// # Errors
    /// No client has this code, or the record cannot be read.
    pub fn client(&self, code: &str) -> Result<Client, RecordError> {
        let id = find(&self.conn, code)?.ok_or(RecordError::NoClient)?;
        client(&self.conn, id)
    }

    /// Every client, by code.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn clients(&self) -> Result<Vec<Client>, RecordError> {
        let mut ids = self
            .conn
            .prepare("SELECT id FROM clients WHERE merged IS NULL ORDER BY code")?;
        let ids: Vec<i64> = ids.query_map([], |row| row.get(0))?.collect::<Result<_, _>>()?;
        ids.into_iter().map(|id| client(&self.conn, id)).collect()
    }
}

fn client(conn: &Connection, id: i64) -> Result<Client, RecordError> {
    let (code, details): (String, String) =
        conn.query_row("SELECT code, details FROM clients WHERE id = ?1", [id], |row| {
            Ok((row.get(0)?, row.get(1)?))
        })?;
    let also = conn
        .prepare_cached("SELECT code FROM clients WHERE merged = ?1 ORDER BY code")?
        .query_map([id], |row| row.get(0))?
        .collect::<Result<_, _>>()?;
    let (visits, last_visit) = conn.query_row(
        "SELECT count(*), max(date) FROM visits WHERE client = ?1",
        [id],
        |row| Ok((row.get(0)?, row.get(1)?)),
    )?;
    Ok(Client {
        code,
        also,
        details: from_json(&details)?,
        visits,
        last_visit,
    })
}

/// The number of the client whom this code names, if there is one.
pub(super) fn find(conn: &Connection, code: &str) -> Result<Option<i64>, RecordError> {
    check(code)?;
    let sql = "SELECT coalesce(merged, id) FROM clients WHERE code = ?1";
    Ok(conn.query_row(sql, [code], |row| row.get(0)).optional()?)
}

/// All numbers of the client whom this code names: more than one where codes were merged. The first is the client's own.
pub(super) fn numbers(conn: &Connection, code: &str) -> Result<Vec<i64>, RecordError> {
    let client = find(conn, code)?.ok_or(RecordError::NoClient)?;
    let mut of_client =
        conn.prepare("SELECT id FROM clients WHERE id = ?1 OR merged = ?1 ORDER BY id != ?1")?;
    Ok(of_client
        .query_map([client], |row| row.get(0))?
        .collect::<Result<_, _>>()?)
}

/// The number of the client with this code, who is added if not there yet.
pub(super) fn find_or_add(tx: &Writing, code: &str) -> Result<i64, RecordError> {
    if let Some(client) = find(tx, code)? {
        return Ok(client);
    }
    let client = next(tx, "clients")?;
    let code = code.to_owned();
    chain::append(tx, Deed::ClientAdded { client, code })?;
    Ok(client)
}

fn check(code: &str) -> Result<(), RecordError> {
    let allowed = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'-' || byte == b'_';
    if code.is_empty() || code.len() > LONGEST || !code.bytes().all(allowed) {
        return Err(RecordError::ClientCode);
    }
    Ok(())
}
