//! What is touched or typed instead of said.

use crate::error::Result;
use crate::event::Event;
use crate::finding::Outcome;
use crate::interpret::Understood;

use super::Visit;

/// Stands in the record where the name of a speech model would.
pub const TYPED: &str = "typed";

impl Visit {
    /// Does what words ask for that nobody need have said: as if they had been heard without any doubt. What is no dictation
    /// changes nothing.
    ///
    /// # Errors
    /// The record cannot be written; then it is as if nothing had been touched.
    pub fn touch(&mut self, words: &str) -> Result<Vec<Event>> {
        let before = self.interpreter.clone();
        let heard_by = std::mem::replace(&mut self.model, TYPED.to_owned());
        let done = self.heed(words);
        self.model = heard_by;
        if done.is_err() {
            self.interpreter = before;
            self.told.cut_short();
        }
        done
    }

    fn heed(&mut self, words: &str) -> Result<Vec<Event>> {
        let reading = self.interpreter.peek(words);
        let understood = Understood {
            words: words.to_owned(),
            reading,
            confidence: 1.0,
        };
        self.tries = 0;
        match understood.reading.outcome.clone() {
            Outcome::Finding { findings } => {
                let amends = understood.reading.amends && !self.settle.pending().is_empty();
                self.interpreter.follow(&understood.reading);
                self.propose(words, findings, amends)
            }
            Outcome::Control { control, findings } => {
                self.obey(control, findings.into_iter().next(), &understood)
            }
            Outcome::Unclear { why } => Ok(vec![self.say(why)]),
            Outcome::Aside => Ok(Vec::new()),
        }
    }
}
