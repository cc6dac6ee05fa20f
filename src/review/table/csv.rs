//! As CSV (RFC 4180): lines end in CR LF, the first names the columns, what was not said is empty.

use std::io::Write;

use super::columns::{COLUMNS, Datatype};
use crate::record::Whole;

/// A table that is being written, row by row.
pub struct CsvFile<W: Write> {
    out: csv::Writer<W>,
}

impl<W: Write> CsvFile<W> {
    /// Begins one.
    ///
    /// # Errors
    /// It can't be written.
    pub fn new(out: W) -> std::io::Result<CsvFile<W>> {
        let mut out = csv::WriterBuilder::new()
            .terminator(csv::Terminator::CRLF)
            .from_writer(out);
        out.write_record(COLUMNS.iter().map(|column| column.name))?;
        Ok(CsvFile { out })
    }

    /// Adds a row.
    ///
    /// # Errors
    /// It can't be written.
    pub fn add(&mut self, row: &Whole) -> std::io::Result<()> {
        let values = COLUMNS.iter().map(|column| {
            let value = (column.value)(row).unwrap_or_default();
            match column.datatype {
                Datatype::Text => guarded(value),
                _ => value,
            }
        });
        Ok(self.out.write_record(values)?)
    }

    /// Ends it.
    ///
    /// # Errors
    /// It can't be written.
    pub fn end(mut self) -> std::io::Result<()> {
        self.out.flush()
    }
}

/// Spreadsheets take what begins so for a formula, and run it; an apostrophe before it makes it text.
fn guarded(text: String) -> String {
    match text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        true => format!("'{text}"),
        false => text,
    }
}
