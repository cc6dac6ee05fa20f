//! What has been kept for as long as it is to be kept. Nothing is erased by itself.

use std::num::NonZeroU16;

use jiff::civil::Date;
use jiff::{Span, Timestamp, ToSpan, ZonedDateTime};
use serde::{Deserialize, Serialize};

use super::{Record, RecordError};

/// How long sound is kept.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "Written", into = "Written")]
pub enum SoundKept {
    /// Days from when it was said.
    Days(NonZeroU16),
    /// Until the visit in which it was said is signed off.
    #[default]
    UntilReviewed,
}

/// As it is written in the settings.
#[derive(Serialize, Deserialize)]
#[serde(untagged)]
enum Written {
    Days(u16),
    Words(String),
}

const UNTIL_REVIEWED: &str = "until-reviewed";

impl From<SoundKept> for Written {
    fn from(kept: SoundKept) -> Written {
        match kept {
            SoundKept::Days(days) => Written::Days(days.get()),
            SoundKept::UntilReviewed => Written::Words(UNTIL_REVIEWED.to_owned()),
        }
    }
}

impl TryFrom<Written> for SoundKept {
    type Error = String;

    fn try_from(written: Written) -> Result<SoundKept, String> {
        match written {
            Written::Days(days) => NonZeroU16::new(days).map(SoundKept::Days),
            Written::Words(words) => (words == UNTIL_REVIEWED).then_some(SoundKept::UntilReviewed),
        }
        .ok_or_else(|| format!("sound_kept may be \"{UNTIL_REVIEWED}\" or a number of days from 1"))
    }
}

/// Something that is due. The serialised form is what `couchside record due --json` prints.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "due", rename_all = "lowercase")]
pub enum Due {
    /// A sound clip, by its number.
    Sound { client: String, clip: i64, at: String },
    /// A visit, by its number.
    Visit {
        client: String,
        visit: i64,
        date: String,
    },
}

impl Record {
    /// What is due now, sound first, oldest first. `visits_kept`: years; visits are kept without end if absent.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn due(&self, sound: SoundKept, visits_kept: Option<NonZeroU16>) -> Result<Vec<Due>, RecordError> {
        self.due_on(&ZonedDateTime::now(), sound, visits_kept)
    }

    /// As [`Record::due`], at another time.
    ///
    /// # Errors
    /// The same.
    pub fn due_on(
        &self,
        now: &ZonedDateTime,
        sound: SoundKept,
        visits_kept: Option<NonZeroU16>,
    ) -> Result<Vec<Due>, RecordError> {
        let mut due = Vec::new();
        let mut clips = self.conn.prepare(
            "SELECT code, clips.id, clips.at, closed IS NOT NULL FROM clips JOIN clip_sounds ON clip = clips.id
             JOIN visits ON visits.id = visit JOIN clients ON clients.id = client ORDER BY clips.id",
        )?;
        let mut rows = clips.query([])?;
        while let Some(row) = rows.next()? {
            let (client, clip, at): (String, i64, String) = (row.get(0)?, row.get(1)?, row.get(2)?);
            let is_due = match sound {
                SoundKept::UntilReviewed => row.get(3)?,
                SoundKept::Days(days) => said_before(&at, now, i64::from(days.get()).days()),
            };
            if is_due {
                due.push(Due::Sound { client, clip, at });
            }
        }
        let Some(years) = visits_kept else { return Ok(due) };
        let last = now.date().saturating_sub(i64::from(years.get()).years());
        let mut visits = self.conn.prepare(
            "SELECT code, visits.id, date FROM visits JOIN clients ON clients.id = client ORDER BY date, visits.id",
        )?;
        let mut rows = visits.query([])?;
        while let Some(row) = rows.next()? {
            let date: String = row.get(2)?;
            if date.parse::<Date>().is_ok_and(|date| date <= last) {
                due.push(Due::Visit {
                    client: row.get(0)?,
                    visit: row.get(1)?,
                    date,
                });
            }
        }
        Ok(due)
    }
}

fn said_before(at: &str, now: &ZonedDateTime, kept: Span) -> bool {
    let until = now.saturating_sub(kept).timestamp();
    at.parse::<Timestamp>().is_ok_and(|at| at <= until)
}
