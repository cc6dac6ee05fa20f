//! What the acts amount to: the tables of clients, visits, proposals, findings and words.

use std::collections::BTreeMap;

use rusqlite::{Connection, OptionalExtension, Params};
use serde::Serialize;
use serde::de::DeserializeOwned;

use super::act::{Act, Deed, Target};
use super::{ClientDetails, RecordError, index};

/// Writes what an act amounts to. Nothing but the act and the acts before it decides what is written, so that
/// running it over all acts again gives the same tables.
pub(super) fn project(conn: &Connection, act: &Act) -> Result<(), RecordError> {
    let at = &act.at;
    match &act.deed {
        // They change nothing of what is kept.
        Deed::RecordMade { .. } | Deed::Exported { .. } | Deed::CautionShown { .. } => {}
        Deed::ClientAdded { client, code } => {
            run(
                conn,
                "INSERT INTO clients (id, code, at) VALUES (?1, ?2, ?3)",
                (client, code, at),
            )?;
        }
        Deed::ClientDescribed { client, details } => {
            let sql = "UPDATE clients SET details = ?2 WHERE id = ?1";
            run(conn, sql, (client, to_json(details)?))?;
        }
        Deed::VisitDescribed { visit, details } => {
            let sql = "UPDATE visits SET details = ?2 WHERE id = ?1";
            run(conn, sql, (visit, to_json(details)?))?;
            amend_visit(conn, *visit, at)?;
        }
        Deed::ClientsMerged { from, into } => merge(conn, *from, *into)?,
        Deed::ClientRemoved { client, given, .. } => remove(conn, *client, given)?,
        Deed::VisitOpened { visit, client, date } => {
            let sql = "INSERT INTO visits (id, client, date, opened) VALUES (?1, ?2, ?3, ?4)";
            run(conn, sql, (visit, client, date, at))?;
        }
        Deed::VisitClosed { visit } => {
            run(conn, "UPDATE visits SET closed = ?2 WHERE id = ?1", (visit, at))?;
        }
        Deed::Proposed {
            proposal,
            visit,
            finding,
            heard,
            model,
            grammar,
        } => {
            run(
                conn,
                "INSERT INTO proposals (id, visit, finding, heard, model, grammar, at, state)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, 'pending')",
                (proposal, visit, to_json(finding)?, heard, model, grammar, at),
            )?;
        }
        Deed::Withdrawn { id } => {
            run(conn, "UPDATE findings SET withdrawn = ?2 WHERE id = ?1", (id, at))?;
            amend_finding(conn, *id, at)?;
            index::renew(conn, *id)?;
        }
        Deed::NotUnderstood {
            unclear,
            visit,
            heard,
            why,
            aside,
        } => {
            run(
                conn,
                "INSERT INTO unclear (id, visit, heard, why, aside, at) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                (unclear, visit, heard, why, aside, at),
            )?;
        }
        Deed::Parked { proposal } => {
            run(
                conn,
                "UPDATE proposals SET parked = ?2 WHERE id = ?1",
                (proposal, at),
            )?;
        }
        Deed::SoundAllowed { visit, allowed } => {
            run(
                conn,
                "UPDATE visits SET sound_allowed = ?2 WHERE id = ?1",
                (visit, allowed),
            )?;
        }
        Deed::SoundKept {
            clip,
            visit,
            proposal,
            unclear,
            sha256,
        } => {
            run(
                conn,
                "INSERT INTO clips (id, visit, proposal, unclear, sha256, at) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                (clip, visit, proposal, unclear, sha256, at),
            )?;
        }
        Deed::SoundErased { clip } => {
            run(conn, "UPDATE clips SET erased = ?2 WHERE id = ?1", (clip, at))?;
        }
        Deed::Disregarded { proposal } => settle(conn, *proposal, "disregarded")?,
        Deed::Corrected {
            target: Target::Proposal { proposal },
            finding,
            heard,
        } => {
            run(
                conn,
                "UPDATE proposals SET finding = ?2, heard = heard || '; ' || ?3 WHERE id = ?1",
                (proposal, to_json(finding)?, heard),
            )?;
        }
        Deed::Confirmed {
            id,
            proposal,
            visit,
            finding,
        } => {
            settle(conn, *proposal, "confirmed")?;
            run(
                conn,
                "INSERT INTO findings (id, visit, proposal, finding, heard, model, grammar, heard_at, at)
                 SELECT ?1, ?3, id, ?4, heard, model, grammar, at, ?5 FROM proposals WHERE id = ?2",
                (id, proposal, visit, to_json(finding)?, at),
            )?;
        }
        Deed::Corrected {
            target: Target::Finding { id, proposal },
            finding,
            ..
        } => {
            settle(conn, *proposal, "confirmed")?;
            run(
                conn,
                "UPDATE findings SET finding = ?3, at = ?4, proposal = p.id, heard = p.heard,
                     model = p.model, grammar = p.grammar, heard_at = p.at
                 FROM proposals AS p WHERE findings.id = ?1 AND p.id = ?2",
                (id, proposal, to_json(finding)?, at),
            )?;
            amend_finding(conn, *id, at)?;
            index::renew(conn, *id)?;
        }
    }
    Ok(())
}

/// A change after the sign-off is an amendment.
fn amend_visit(conn: &Connection, visit: i64, at: &str) -> Result<bool, RecordError> {
    let sql = "UPDATE visits SET amended = ?2 WHERE id = ?1 AND closed IS NOT NULL";
    Ok(run(conn, sql, (visit, at))? == 1)
}

fn amend_finding(conn: &Connection, id: i64, at: &str) -> Result<(), RecordError> {
    let sql = "SELECT visit FROM findings WHERE id = ?1";
    let visit: Option<i64> = conn.query_row(sql, [id], |row| row.get(0)).optional()?;
    if let Some(visit) = visit
        && amend_visit(conn, visit, at)?
    {
        run(conn, "UPDATE findings SET amended = ?2 WHERE id = ?1", (id, at))?;
    }
    Ok(())
}

fn merge(conn: &Connection, from: i64, into: i64) -> Result<(), RecordError> {
    let details = |client: i64| -> Result<Option<ClientDetails>, RecordError> {
        let sql = "SELECT details FROM clients WHERE id = ?1";
        let details: Option<String> = conn.query_row(sql, [client], |row| row.get(0)).optional()?;
        details.as_deref().map(from_json).transpose()
    };
    let both = details(into)?
        .zip(details(from)?)
        .map(|(into, from)| into.or(from));
    if let Some(both) = both {
        run(
            conn,
            "UPDATE clients SET details = ?2 WHERE id = ?1",
            (into, to_json(&both)?),
        )?;
    }
    run(
        conn,
        "UPDATE visits SET client = ?2 WHERE client = ?1",
        (from, into),
    )?;
    run(
        conn,
        "UPDATE clients SET merged = ?2 WHERE id = ?1 OR merged = ?1",
        (from, into),
    )?;
    Ok(())
}

fn remove(conn: &Connection, client: i64, given: &BTreeMap<String, i64>) -> Result<(), RecordError> {
    for (what, up_to) in given {
        run(
            conn,
            "INSERT INTO given (what, up_to) VALUES (?1, ?2) ON CONFLICT DO UPDATE SET up_to = ?2",
            (what, up_to),
        )?;
    }
    let visits = "(SELECT id FROM visits WHERE client = ?1)";
    for sql in [
        &format!(
            "DELETE FROM findings_words WHERE rowid IN (SELECT id FROM findings WHERE visit IN {visits})"
        ),
        &format!("DELETE FROM subjects WHERE finding IN (SELECT id FROM findings WHERE visit IN {visits})"),
        &format!("DELETE FROM findings WHERE visit IN {visits}"),
        &format!("DELETE FROM clips WHERE visit IN {visits}"),
        &format!("DELETE FROM unclear WHERE visit IN {visits}"),
        &format!("DELETE FROM proposals WHERE visit IN {visits}"),
        "DELETE FROM visits WHERE client = ?1",
        "DELETE FROM clients WHERE merged = ?1",
        "DELETE FROM clients WHERE id = ?1",
    ] {
        run(conn, sql, [client])?;
    }
    Ok(())
}

fn settle(conn: &Connection, proposal: i64, state: &str) -> Result<(), RecordError> {
    run(
        conn,
        "UPDATE proposals SET state = ?2 WHERE id = ?1",
        (proposal, state),
    )?;
    Ok(())
}

/// A finding, or what was written about somebody, as the record keeps it.
pub(super) fn to_json(entry: &impl Serialize) -> Result<String, RecordError> {
    serde_json::to_string(entry).map_err(|_| unreadable())
}

/// The reverse of [`to_json`].
pub(super) fn from_json<T: DeserializeOwned>(json: &str) -> Result<T, RecordError> {
    serde_json::from_str(json).map_err(|_| unreadable())
}

/// Runs a statement that is kept ready: the same few run for every act.
pub(super) fn run(conn: &Connection, sql: &str, values: impl Params) -> Result<usize, RecordError> {
    Ok(conn.prepare_cached(sql)?.execute(values)?)
}

fn unreadable() -> RecordError {
    RecordError::Damaged("an entry in it cannot be read".to_owned())
}
