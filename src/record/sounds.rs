//! Sound clips of what was dictated: kept only where the client allows it, and until they are erased.

use rusqlite::OptionalExtension;
use serde::Serialize;
use sha2::{Digest, Sha256};

use super::act::Deed;
use super::visits::must_be_open;
use super::writing::next;
use super::{Record, RecordError, VisitId, chain, client};

/// What a clip is the sound of, by its number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClipOf {
    Proposal(i64),
    /// Something that was not understood.
    Unclear(i64),
}

/// A clip that is kept. The serialised form is what `couchside sound list --json` prints.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Clip {
    pub id: i64,
    /// When: UTC, RFC 3339.
    pub at: String,
    /// The words that were heard in it.
    pub heard: String,
    /// The number of the finding that came of it, if one is recorded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub finding: Option<i64>,
    /// Seconds.
    pub lasts_s: f64,
}

impl Record {
    /// Writes down whether sound may be kept in this visit.
    ///
    /// # Errors
    /// The visit is closed or not there, or the record cannot be written.
    pub fn allow_sound(&mut self, visit: VisitId, allowed: bool) -> Result<(), RecordError> {
        if self.is_sound_allowed(visit)? == Some(allowed) {
            return Ok(());
        }
        self.write(|tx| {
            must_be_open(tx, visit)?;
            let deed = Deed::SoundAllowed {
                visit: visit.0,
                allowed,
            };
            chain::append(tx, deed)?;
            Ok(())
        })
    }

    /// Whether sound may be kept in this visit; `None`: nobody has said.
    ///
    /// # Errors
    /// The visit is not there, or the record cannot be read.
    pub fn is_sound_allowed(&self, visit: VisitId) -> Result<Option<bool>, RecordError> {
        let sql = "SELECT sound_allowed FROM visits WHERE id = ?1";
        let allowed = self.conn.query_row(sql, [visit.0], |row| row.get(0)).optional()?;
        allowed.ok_or(RecordError::NoVisit)
    }

    /// Keeps the sound of an utterance, mono at 16 kHz. Where the client has not allowed it nothing is written, and there is no
    /// number.
    ///
    /// # Errors
    /// The record cannot be written.
    pub fn keep_sound(
        &mut self,
        visit: VisitId,
        of: ClipOf,
        samples: &[f32],
    ) -> Result<Option<i64>, RecordError> {
        if self.is_sound_allowed(visit)? != Some(true) {
            return Ok(None);
        }
        let sound: Vec<u8> = samples
            .iter()
            .flat_map(|sample| ((sample.clamp(-1.0, 1.0) * 32_767.0) as i16).to_le_bytes())
            .collect();
        self.write(|tx| {
            let clip = next(tx, "clips")?;
            let (proposal, unclear) = match of {
                ClipOf::Proposal(id) => (Some(id), None),
                ClipOf::Unclear(id) => (None, Some(id)),
            };
            let deed = Deed::SoundKept {
                clip,
                visit: visit.0,
                proposal,
                unclear,
                sha256: digest(&sound),
            };
            chain::append(tx, deed)?;
            tx.execute(
                "INSERT INTO clip_sounds (clip, sound) VALUES (?1, ?2)",
                (clip, &sound),
            )?;
            Ok(Some(clip))
        })
    }

    /// The clips of a client that are kept, oldest first.
    ///
    /// # Errors
    /// No client has this code, or the record cannot be read.
    pub fn sounds(&self, client_code: &str) -> Result<Vec<Clip>, RecordError> {
        let client = client::find(&self.conn, client_code)?.ok_or(RecordError::NoClient)?;
        let mut clips = self.conn.prepare(
            "SELECT clips.id, clips.at, coalesce(proposals.heard, unclear.heard), findings.id, length(clip_sounds.sound)
             FROM clips JOIN clip_sounds ON clip_sounds.clip = clips.id
             JOIN visits ON visits.id = clips.visit
             LEFT JOIN proposals ON proposals.id = clips.proposal
             LEFT JOIN unclear ON unclear.id = clips.unclear
             LEFT JOIN findings ON findings.proposal = clips.proposal AND findings.withdrawn IS NULL
             WHERE visits.client = ?1 ORDER BY clips.id",
        )?;
        let clips = clips.query_map([client], |row| {
            let bytes: i64 = row.get(4)?;
            Ok(Clip {
                id: row.get(0)?,
                at: row.get(1)?,
                heard: row.get(2)?,
                finding: row.get(3)?,
                lasts_s: bytes as f64 / 2.0 / f64::from(crate::hear::SAMPLE_RATE),
            })
        })?;
        Ok(clips.collect::<Result<_, _>>()?)
    }

    /// The sound of a clip, mono at 16 kHz.
    ///
    /// # Errors
    /// There is no such clip, or it was erased; or the record cannot be read.
    pub fn sound(&self, clip: i64) -> Result<Vec<f32>, RecordError> {
        let sql = "SELECT sound FROM clip_sounds WHERE clip = ?1";
        let sound: Option<Vec<u8>> = self.conn.query_row(sql, [clip], |row| row.get(0)).optional()?;
        let sound = sound.ok_or(RecordError::NoClip(clip))?;
        let samples = sound.as_chunks::<2>().0.iter();
        Ok(samples
            .map(|pair| f32::from(i16::from_le_bytes(*pair)) / 32_768.0)
            .collect())
    }

    /// Erases the sound of clips: of all of them, or of none. That it was there stays in the history.
    ///
    /// # Errors
    /// There is no such clip, or it was erased; or the record cannot be written.
    pub fn erase_sounds(&mut self, clips: &[i64]) -> Result<(), RecordError> {
        self.write(|tx| {
            for &clip in clips {
                if tx.execute("DELETE FROM clip_sounds WHERE clip = ?1", [clip])? == 0 {
                    return Err(RecordError::NoClip(clip));
                }
                chain::append(tx, Deed::SoundErased { clip })?;
            }
            Ok(())
        })
    }
}

/// SHA-256 in hexadecimal.
pub(super) fn digest(bytes: &[u8]) -> String {
    use std::fmt::Write;
    let mut digits = String::new();
    for byte in Sha256::digest(bytes) {
        // Writing to a string cannot fail.
        let _ = write!(digits, "{byte:02x}");
    }
    digits
}
