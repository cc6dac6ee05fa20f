//! Moving house: everything that the record holds as JSON Lines, and a record made of them again.
//!
//! The first line names the form. Then comes a line for each act, in order, with its `id`, `at`, `who`, `why`, `what`, `body` (JSON as
//! text, so that its hash can be checked), `prior` and `hash`; and a line for each sound clip that is kept, `clip` and `sound`: 16 kHz,
//! mono, 16 bits, little endian, in base64.

use std::fs::File;
use std::io::{BufRead, BufReader, BufWriter, Write};
use std::path::Path;

use data_encoding::BASE64;
use serde::{Deserialize, Serialize};

use super::chain::{Written, each_written, insert};
use super::{Passphrase, Record, RecordError, Verified, file, schema};

/// The form of these lines.
const FORM: u32 = 1;

#[derive(Serialize, Deserialize)]
#[serde(untagged)]
enum Line {
    Head { couchside_record: u32 },
    Act(Written),
    Sound { clip: i64, sound: String },
}

impl Record {
    /// Writes everything into the file `to`, which must not be there and is for its owner alone. It is not encrypted. Returns how
    /// many acts there are.
    ///
    /// # Errors
    /// There is such a file, it can't be written, or the record is damaged.
    pub fn export(&self, to: &Path) -> Result<i64, RecordError> {
        let failed = |source: std::io::Error| RecordError::Copy {
            path: to.to_owned(),
            source,
        };
        if to.exists() {
            return Err(RecordError::CopyExists(to.to_owned()));
        }
        let acts = self.verify()?.acts;
        let making = tempfile::Builder::new()
            .prefix(".export-")
            .tempfile_in(file::folder_of(to))
            .map_err(failed)?;
        let mut out = BufWriter::new(making.as_file());
        let mut put = |line: &Line| -> Result<(), RecordError> {
            let text = serde_json::to_string(line).map_err(|error| failed(error.into()))?;
            writeln!(out, "{text}").map_err(failed)
        };
        // One reading transaction: acts and sound are of the same moment.
        let tx = self.conn.unchecked_transaction()?;
        put(&Line::Head {
            couchside_record: FORM,
        })?;
        each_written(&tx, |act| put(&Line::Act(act)))?;
        let mut sounds = tx.prepare("SELECT clip, sound FROM clip_sounds ORDER BY clip")?;
        let mut rows = sounds.query([])?;
        while let Some(row) = rows.next()? {
            let sound: Vec<u8> = row.get(1)?;
            put(&Line::Sound {
                clip: row.get(0)?,
                sound: BASE64.encode(&sound),
            })?;
        }
        out.flush().map_err(failed)?;
        drop(out);
        making.as_file().sync_all().map_err(failed)?;
        file::take_name(making, to).map_err(failed)?;
        Ok(acts)
    }

    /// Makes the record of the folder `home`, which must not have one, from exported lines, and checks it.
    ///
    /// # Errors
    /// There is a record; the file can't be read, or a line of it is not as it was exported. Then no record is left.
    pub fn import(from: &Path, home: &Path, passphrase: &Passphrase) -> Result<Verified, RecordError> {
        let unreadable = |line: usize, why: String| RecordError::Import {
            path: from.to_owned(),
            line,
            why,
        };
        let lines = File::open(from).map_err(|error| unreadable(0, error.to_string()))?;
        let mut whole = None;
        file::create(home, passphrase, |conn| {
            let mut record = Record::of(conn);
            schema::migrate(&mut record.conn)?;
            record.write(|tx| {
                let mut head = false;
                for (number, line) in BufReader::new(lines).lines().enumerate() {
                    let line = line.map_err(|error| unreadable(number + 1, error.to_string()))?;
                    let line: Line = serde_json::from_str(&line)
                        .map_err(|_| unreadable(number + 1, "it is not such a line".into()))?;
                    match line {
                        Line::Head { couchside_record } if couchside_record == FORM && !head => head = true,
                        Line::Head { .. } => {
                            return Err(unreadable(number + 1, "it is of a newer couchside".into()));
                        }
                        _ if !head => {
                            return Err(unreadable(
                                number + 1,
                                "the first line does not say what it is".into(),
                            ));
                        }
                        Line::Act(act) => insert(tx, &act).map_err(|_| {
                            unreadable(number + 1, "it does not follow the act before".into())
                        })?,
                        Line::Sound { clip, sound } => {
                            let sound = BASE64
                                .decode(sound.as_bytes())
                                .map_err(|_| unreadable(number + 1, "its sound is not whole".into()))?;
                            // Clips are made of the acts later.
                            tx.pragma_update(None, "defer_foreign_keys", true)?;
                            tx.execute(
                                "INSERT INTO clip_sounds (clip, sound) VALUES (?1, ?2)",
                                (clip, sound),
                            )?;
                        }
                    }
                }
                super::rebuild::make(tx, |_, _| {})?;
                Ok(())
            })?;
            whole = Some(record.verify()?);
            Ok(record.conn)
        })?;
        whole.ok_or(RecordError::Incomplete)
    }
}
