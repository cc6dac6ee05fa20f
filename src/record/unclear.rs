//! What was not understood, and what was asked about in vain: kept for the review.

use super::act::Deed;
use super::proposals::waiting;
use super::visits::must_be_open;
use super::writing::next;
use super::{Record, RecordError, VisitId, chain};

impl Record {
    /// Keeps the words of something that sounded like dictation and was not understood; `why` in words. `aside`: it was asked for
    /// again in vain, and is for the review. Returns its number.
    ///
    /// # Errors
    /// The visit is closed or not there, or the record cannot be written.
    pub fn not_understood(
        &mut self,
        visit: VisitId,
        heard: &str,
        why: &str,
        aside: bool,
    ) -> Result<i64, RecordError> {
        self.write(|tx| {
            must_be_open(tx, visit)?;
            let unclear = next(tx, "unclear")?;
            let deed = Deed::NotUnderstood {
                unclear,
                visit: visit.0,
                heard: heard.to_owned(),
                why: why.to_owned(),
                aside,
            };
            chain::append(tx, deed)?;
            Ok(unclear)
        })
    }

    /// Puts a waiting proposal aside for the review.
    ///
    /// # Errors
    /// The proposal does not wait any more, or the record cannot be written.
    pub fn park(&mut self, proposal: i64) -> Result<(), RecordError> {
        self.write(|tx| {
            waiting(tx, proposal)?;
            chain::append(tx, Deed::Parked { proposal })?;
            Ok(())
        })
    }
}
