//! Everything that was heard in a visit, in order, with what became of it.

use super::{Record, RecordError, VisitId};

/// Something that was said, or typed instead.
#[derive(Clone, Debug, PartialEq)]
pub struct Utterance {
    /// The words.
    pub heard: String,
    /// When: UTC, RFC 3339.
    pub at: String,
    /// The number of its latest sound clip, if one is kept.
    pub clip: Option<i64>,
    pub became: Became,
}

/// What became of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Became {
    /// This finding, by its number.
    Finding(i64),
    /// A finding that was changed by something said or typed later.
    Changed,
    /// A finding that was taken back.
    TakenBack,
    /// It waits.
    Waits,
    /// It was dropped.
    LeftOut,
    /// It was asked for again, for this reason.
    NotUnderstood(String),
    /// Nothing: it was no dictation. By its number.
    Aside(i64),
}

impl Record {
    /// All of a visit, oldest first. A finding that was said among others has the words of all.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn utterances(&self, visit: VisitId) -> Result<Vec<Utterance>, RecordError> {
        let mut heard = self.conn.prepare(
            "SELECT proposals.heard, proposals.at AS said,
                 (SELECT max(clip) FROM clip_sounds JOIN clips ON clips.id = clip WHERE clips.proposal = proposals.id),
                 CASE WHEN withdrawn IS NOT NULL THEN 'taken back' WHEN findings.id IS NOT NULL THEN 'finding' ELSE state END,
                 findings.id, NULL
             FROM proposals LEFT JOIN findings ON findings.visit = ?1 AND findings.proposal = proposals.id
             WHERE proposals.visit = ?1
             UNION ALL
             SELECT heard, at,
                 (SELECT max(clip) FROM clip_sounds JOIN clips ON clips.id = clip WHERE clips.unclear = unclear.id),
                 'unclear', id, why
             FROM unclear WHERE visit = ?1
             UNION ALL
             SELECT heard, at, NULL, 'aside', id, NULL FROM asides WHERE visit = ?1
             ORDER BY said",
        )?;
        let heard = heard.query_map([visit.0], |row| {
            let number: Option<i64> = row.get(4)?;
            let state: String = row.get(3)?;
            let number = number.unwrap_or_default();
            Ok(Utterance {
                heard: row.get(0)?,
                at: row.get(1)?,
                clip: row.get(2)?,
                became: match state.as_str() {
                    "finding" => Became::Finding(number),
                    "taken back" => Became::TakenBack,
                    "pending" => Became::Waits,
                    "confirmed" => Became::Changed,
                    "unclear" => Became::NotUnderstood(row.get::<_, Option<String>>(5)?.unwrap_or_default()),
                    "aside" => Became::Aside(number),
                    _ => Became::LeftOut,
                },
            })
        })?;
        Ok(heard.collect::<Result<_, _>>()?)
    }
}
