//! The chain of acts: each carries the hash of the one before, so that the past cannot be changed unseen.

use std::collections::BTreeSet;

use rusqlite::{Connection, OptionalExtension};
use serde::{Deserialize, Serialize};

use super::RecordError;
use super::act::{Act, Deed};
use super::project::project;
use super::sounds::digest;
use super::writing::Writing;

/// Stands for the hash before the first act; the schema's trigger knows the same.
const BEGINNING: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// Stands for what an act said of a client who was removed.
pub(super) const ERASED: &str = "{\"erased\":true}";

/// Adds an act at the end of the chain and writes what it amounts to.
pub(super) fn append(writing: &Writing, deed: Deed) -> Result<Act, RecordError> {
    let (last, prior) = writing
        .prepare_cached("SELECT id, hash FROM acts ORDER BY id DESC LIMIT 1")?
        .query_row([], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()?
        .unwrap_or((0, BEGINNING.to_owned()));
    let act = Act {
        id: last + 1,
        // Milliseconds are as fine as people speak.
        at: format!("{:.3}", jiff::Timestamp::now()),
        who: writing.who.map(str::to_owned),
        why: writing.why.map(str::to_owned),
        deed,
    };
    let (what, body) = act.deed.to_words().map_err(|_| unreadable(act.id))?;
    let written = Written {
        id: act.id,
        at: act.at.clone(),
        who: act.who.clone(),
        why: act.why.clone(),
        what,
        body,
        hash: String::new(),
        prior,
    };
    let hash = written.link();
    insert(writing, &Written { hash, ..written })?;
    project(writing, &act)?;
    Ok(act)
}

/// An act as it stands in its table.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(super) struct Written {
    pub id: i64,
    pub at: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub who: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
    pub what: String,
    /// JSON.
    pub body: String,
    pub prior: String,
    pub hash: String,
}

impl Written {
    /// The hash of an act: SHA-256 over its parts, one to a line. None can hold a line break, so no two acts make the same lines:
    /// the body is compact JSON, and so are, behind their names, who and why, where there are any.
    fn link(&self) -> String {
        let mut lines = format!("{}\n{}\n{}\n{}", self.prior, self.at, self.what, self.body);
        for (name, words) in [("who", &self.who), ("why", &self.why)] {
            if let Some(words) = words {
                lines += &format!("\n{name} {}", serde_json::Value::from(words.as_str()));
            }
        }
        digest(lines.as_bytes())
    }
}

pub(super) fn insert(conn: &Connection, act: &Written) -> Result<(), RecordError> {
    let sql = "INSERT INTO acts (id, at, who, why, what, body, prior, hash) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)";
    conn.prepare_cached(sql)?.execute((
        act.id, &act.at, &act.who, &act.why, &act.what, &act.body, &act.prior, &act.hash,
    ))?;
    Ok(())
}

/// Hands every act to `each` as it is written, oldest first.
pub(super) fn each_written(
    conn: &Connection,
    mut each: impl FnMut(Written) -> Result<(), RecordError>,
) -> Result<(), RecordError> {
    let mut acts = conn.prepare("SELECT id, at, who, why, what, body, prior, hash FROM acts ORDER BY id")?;
    let mut rows = acts.query([])?;
    while let Some(row) = rows.next()? {
        each(Written {
            id: row.get(0)?,
            at: row.get(1)?,
            who: row.get(2)?,
            why: row.get(3)?,
            what: row.get(4)?,
            body: row.get(5)?,
            prior: row.get(6)?,
            hash: row.get(7)?,
        })?;
    }
    Ok(())
}

/// Hands every act to `each`, oldest first, and checks the chain on the way; what was erased with a removed client is left out.
/// Returns how many acts there are.
pub(super) fn walk(
    conn: &Connection,
    mut each: impl FnMut(&Act) -> Result<(), RecordError>,
) -> Result<i64, RecordError> {
    erased_by_removals(conn)?;
    let (mut count, mut before) = (0, BEGINNING.to_owned());
    each_written(conn, |written| {
        let id = written.id;
        if id != count + 1 {
            return Err(RecordError::Damaged(format!(
                "act {} of its history is missing",
                count + 1
            )));
        }
        if written.prior != before {
            return Err(RecordError::Damaged(format!(
                "act {id} of its history does not follow the one before"
            )));
        }
        (count, before) = (id, written.hash.clone());
        if written.body == ERASED {
            return Ok(());
        }
        if written.hash != written.link() {
            return Err(RecordError::Damaged(format!(
                "act {id} of its history was changed after it was written"
            )));
        }
        let deed = Deed::from_words(&written.what, &written.body).map_err(|_| unreadable(id))?;

        each(&Act {
            id,
            at: written.at,
            who: written.who,
            why: written.why,
            deed,
        })
    })?;
    Ok(count)
}

/// Only a removal erases, and it says what.
fn erased_by_removals(conn: &Connection) -> Result<(), RecordError> {
    let mut erased = conn.prepare("SELECT id FROM acts WHERE body = ?1")?;
    let mut erased: BTreeSet<i64> = erased
        .query_map([ERASED], |row| row.get(0))?
        .collect::<Result<_, _>>()?;
    let mut removals = conn.prepare("SELECT id, what, body FROM acts WHERE what = 'client removed'")?;
    let mut rows = removals.query([])?;
    while let Some(row) = rows.next()? {
        let (what, body): (String, String) = (row.get(1)?, row.get(2)?);
        if let Ok(Deed::ClientRemoved { acts, .. }) = Deed::from_words(&what, &body) {
            for act in &acts {
                erased.remove(act);
            }
        }
    }
    match erased.first() {
        Some(id) => Err(RecordError::Damaged(format!(
            "act {id} of its history was erased without a client being removed"
        ))),
        None => Ok(()),
    }
}

fn unreadable(id: i64) -> RecordError {
    RecordError::Damaged(format!("act {id} of its history cannot be read"))
}
