//! What was recorded last in this visit is taken back, if the therapist confirms that it is.

use crate::error::Result;
use crate::event::Event;
use crate::finding::Finding;
use crate::interpret::Reading;
use crate::readback::{TakenBack, clause};
use crate::record::Kept;

use super::Visit;

impl Visit {
    /// "Disregard" where nothing waits: is what was recorded last to be taken back? Said again, it is to be kept.
    pub(super) fn disregard_nothing(&mut self) -> Result<Vec<Event>> {
        let answer = &self.grammar().readback.answer;
        let (kept, nothing) = (answer.kept.clone(), answer.nothing_pending.clone());
        if self.settle.keep() {
            return Ok(vec![self.say(kept)]);
        }
        Ok(vec![match self.recorded_last()? {
            None => self.say(nothing),
            Some(last) => {
                self.settle.ask_back(last.id, last.finding.clone());
                self.ask_back(&last.finding)
            }
        }])
    }

    pub(super) fn ask_back(&mut self, finding: &Finding) -> Event {
        let question = &self.grammar().readback.answer.take_back;
        let question = question.replace("{}", &clause(self.grammar(), finding));
        self.say(question)
    }

    pub(super) fn take_back(&mut self, taken_back: &TakenBack) -> Result<Vec<Event>> {
        let at = match self.record.withdraw(self.id, taken_back) {
            Ok(at) => at,
            Err(error) => {
                // It is still recorded, and may be taken back once the record can be written.
                self.settle
                    .ask_back(taken_back.id(), taken_back.finding().clone());
                return Err(error.into());
            }
        };
        // What comes next leans on what was recorded before it.
        self.interpreter.forget();
        if let Some(before) = self.recorded_last()? {
            self.interpreter.follow(&Reading::of(before.finding, false));
        }
        let withdrawn = Event::Withdrawn {
            id: taken_back.id(),
            finding: taken_back.finding().clone(),
            at,
        };
        let said = self.grammar().readback.answer.taken_back.clone();
        Ok(vec![withdrawn, self.say(said)])
    }

    /// The finding of this visit that was recorded last and is not taken back.
    fn recorded_last(&self) -> Result<Option<Kept>> {
        let case = self.record.case(&self.client)?;
        let visit = case.visits.into_iter().next_back();
        Ok(visit.and_then(|visit| visit.findings.into_iter().next_back()))
    }
}
