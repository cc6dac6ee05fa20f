//! What the acts amount to: the tables of clients, visits, proposals, findings and words.

use rusqlite::{Connection, OptionalExtension};

use super::RecordError;
use super::act::{Act, Deed, Target};
use super::words::words;
use crate::finding::Finding;

/// Writes what an act amounts to. Nothing but the act and the acts before it decides what is written, so that
/// running it over all acts again gives the same tables.
pub(super) fn project(conn: &Connection, act: &Act) -> Result<(), RecordError> {
    let at = &act.at;
    match &act.deed {
        Deed::RecordMade { .. } => {}
        Deed::ClientAdded { client, code } => {
            conn.execute(
                "INSERT INTO clients (id, code, at) VALUES (?1, ?2, ?3)",
                (client, code, at),
            )?;
        }
        Deed::VisitOpened { visit, client, date } => {
            let sql = "INSERT INTO visits (id, client, date, opened) VALUES (?1, ?2, ?3, ?4)";
            conn.execute(sql, (visit, client, date, at))?;
        }
        Deed::VisitClosed { visit } => {
            conn.execute("UPDATE visits SET closed = ?2 WHERE id = ?1", (visit, at))?;
        }
        Deed::Proposed {
            proposal,
            visit,
            finding,
            heard,
            model,
            grammar,
        } => {
            conn.execute(
                "INSERT INTO proposals (id, visit, finding, heard, model, grammar, at, state)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, 'pending')",
                (proposal, visit, to_json(finding)?, heard, model, grammar, at),
            )?;
        }
        Deed::Withdrawn { id } => {
            conn.execute("UPDATE findings SET withdrawn = ?2 WHERE id = ?1", (id, at))?;
            conn.execute("DELETE FROM findings_words WHERE rowid = ?1", [id])?;
        }
        Deed::NotUnderstood {
            unclear,
            visit,
            heard,
            why,
            aside,
        } => {
            conn.execute(
                "INSERT INTO unclear (id, visit, heard, why, aside, at) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                (unclear, visit, heard, why, aside, at),
            )?;
        }
        Deed::Parked { proposal } => {
            conn.execute("UPDATE proposals SET parked = ?2 WHERE id = ?1", (proposal, at))?;
        }
        Deed::SoundAllowed { visit, allowed } => {
            conn.execute(
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
            conn.execute(
                "INSERT INTO clips (id, visit, proposal, unclear, sha256, at) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                (clip, visit, proposal, unclear, sha256, at),
            )?;
        }
        Deed::SoundErased { clip } => {
            conn.execute("UPDATE clips SET erased = ?2 WHERE id = ?1", (clip, at))?;
        }
        Deed::Disregarded { proposal } => settle(conn, *proposal, "disregarded")?,
        Deed::Corrected {
            target: Target::Proposal { proposal },
            finding,
            heard,
        } => {
            conn.execute(
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
            conn.execute(
                "INSERT INTO findings (id, visit, proposal, finding, heard, model, grammar, heard_at, at)
                 SELECT ?1, ?3, id, ?4, heard, model, grammar, at, ?5 FROM proposals WHERE id = ?2",
                (id, proposal, visit, to_json(finding)?, at),
            )?;
            index(conn, *id, finding)?;
        }
        Deed::Corrected {
            target: Target::Finding { id, proposal },
            finding,
            ..
        } => {
            settle(conn, *proposal, "confirmed")?;
            conn.execute(
                "UPDATE findings SET finding = ?3, at = ?4, proposal = p.id, heard = p.heard,
                     model = p.model, grammar = p.grammar, heard_at = p.at
                 FROM proposals AS p WHERE findings.id = ?1 AND p.id = ?2",
                (id, proposal, to_json(finding)?, at),
            )?;
            index(conn, *id, finding)?;
        }
    }
    Ok(())
}

fn settle(conn: &Connection, proposal: i64, state: &str) -> Result<(), RecordError> {
    conn.execute("UPDATE proposals SET state = ?2 WHERE id = ?1", (proposal, state))?;
    Ok(())
}

fn index(conn: &Connection, id: i64, finding: &Finding) -> Result<(), RecordError> {
    let heard: Option<String> = conn
        .query_row("SELECT heard FROM findings WHERE id = ?1", [id], |row| row.get(0))
        .optional()?;
    conn.execute("DELETE FROM findings_words WHERE rowid = ?1", [id])?;
    conn.execute(
        "INSERT INTO findings_words (rowid, heard, finding) VALUES (?1, ?2, ?3)",
        (id, heard, words(finding)),
    )?;
    Ok(())
}

/// A finding as the record keeps it.
pub(super) fn to_json(finding: &Finding) -> Result<String, RecordError> {
    serde_json::to_string(finding).map_err(|_| unreadable())
}

/// The reverse of [`to_json`].
pub(super) fn from_json(json: &str) -> Result<Finding, RecordError> {
    serde_json::from_str(json).map_err(|_| unreadable())
}

fn unreadable() -> RecordError {
    RecordError::Damaged("a finding in it cannot be read".to_owned())
}
