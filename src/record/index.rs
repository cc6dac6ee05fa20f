//! What is searched: the words of the findings and what was examined. A confirmation does not wait for it; what is new is taken in
//! before somebody searches.

use rusqlite::Connection;

use super::RecordError;
use super::project::{from_json, run};
use super::words::words;
use crate::finding::Finding;

/// Takes in the findings that are newer than all that was taken in.
pub(super) fn catch_up(conn: &Connection) -> Result<(), RecordError> {
    let newest = newest(conn)?;
    let newer = "SELECT id FROM findings WHERE id > ?1 AND withdrawn IS NULL ORDER BY id";
    let mut newer = conn.prepare_cached(newer)?;
    let mut rows = newer.query([newest])?;
    while let Some(row) = rows.next()? {
        take_in(conn, row.get(0)?)?;
    }
    Ok(())
}

/// Takes in as much in `to` as is taken in in `from`.
pub(super) fn catch_up_as_far_as(from: &Connection, to: &Connection) -> Result<(), RecordError> {
    catch_up(to)?;
    let newest = newest(from)?;
    run(to, "DELETE FROM findings_words WHERE rowid > ?1", [newest])?;
    run(to, "DELETE FROM subjects WHERE finding > ?1", [newest])?;
    Ok(())
}

fn newest(conn: &Connection) -> Result<i64, RecordError> {
    let sql = "SELECT coalesce(max(finding), 0) FROM subjects";
    Ok(conn.prepare_cached(sql)?.query_row([], |row| row.get(0))?)
}

/// Whether [`catch_up`] has something to do.
pub(super) fn is_behind(conn: &Connection) -> Result<bool, RecordError> {
    let sql = "SELECT EXISTS (SELECT 1 FROM findings
                   WHERE id > (SELECT coalesce(max(finding), 0) FROM subjects) AND withdrawn IS NULL)";
    Ok(conn.prepare_cached(sql)?.query_row([], |row| row.get(0))?)
}

/// After a finding got another value, or was taken back.
pub(super) fn renew(conn: &Connection, id: i64) -> Result<(), RecordError> {
    catch_up(conn)?;
    run(conn, "DELETE FROM findings_words WHERE rowid = ?1", [id])?;
    run(conn, "DELETE FROM subjects WHERE finding = ?1", [id])?;
    let stands = "SELECT EXISTS (SELECT 1 FROM findings WHERE id = ?1 AND withdrawn IS NULL)";
    match conn.prepare_cached(stands)?.query_row([id], |row| row.get(0))? {
        true => take_in(conn, id),
        false => Ok(()),
    }
}

fn take_in(conn: &Connection, id: i64) -> Result<(), RecordError> {
    let sql = "SELECT finding, heard FROM findings WHERE id = ?1";
    let (json, heard): (String, String) = conn
        .prepare_cached(sql)?
        .query_row([id], |row| Ok((row.get(0)?, row.get(1)?)))?;
    let finding: Finding = from_json(&json)?;
    run(
        conn,
        "INSERT OR REPLACE INTO findings_words (rowid, heard, finding) VALUES (?1, ?2, ?3)",
        (id, heard, words(&finding)),
    )?;
    run(
        conn,
        "INSERT INTO subjects (finding, subject, joint, side, mode, degrees, painful)
         SELECT id, coalesce(json_extract(finding, '$.movement'), json_extract(finding, '$.muscle'),
                    json_extract(finding, '$.test'), json_extract(finding, '$.structure')),
             json_extract(finding, '$.joint'), json_extract(finding, '$.side'), json_extract(finding, '$.mode'),
             json_extract(finding, '$.degrees.to'), json_extract(finding, '$.pain.felt')
         FROM findings WHERE id = ?1",
        [id],
    )?;
    Ok(())
}
