//! What was given to other programs, and which cautions were shown: that it was, when and by whom, stays in the history.

use super::act::Deed;
use super::{Record, RecordError, chain, client};

impl Record {
    /// Writes down that something of a client was exported: in which form, which visit if one alone, and whether with the name.
    ///
    /// # Errors
    /// No client has this code, or the record cannot be written.
    pub fn exported(
        &mut self,
        code: &str,
        form: &str,
        visit: Option<i64>,
        with_name: bool,
    ) -> Result<(), RecordError> {
        self.write(|tx| {
            let client = client::find(tx, code)?.ok_or(RecordError::NoClient)?;
            let deed = Deed::Exported {
                client,
                visit,
                form: form.to_owned(),
                with_name,
            };
            chain::append(tx, deed)?;
            Ok(())
        })
    }

    /// Writes down that a caution, by its name, was shown because of a finding.
    ///
    /// # Errors
    /// There is no such finding, or the record cannot be written.
    pub fn caution_shown(&mut self, finding: i64, caution: &str) -> Result<(), RecordError> {
        let visit = self.visit_of_finding(finding)?.number();
        self.write(|tx| {
            let deed = Deed::CautionShown {
                visit,
                finding,
                caution: caution.to_owned(),
            };
            chain::append(tx, deed)?;
            Ok(())
        })
    }

    /// What tells this record from every other: the hash of its first act.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn mark(&self) -> Result<String, RecordError> {
        Ok(self
            .conn
            .query_row("SELECT hash FROM acts WHERE id = 1", [], |row| row.get(0))?)
    }
}
