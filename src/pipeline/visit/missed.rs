//! What was not understood: kept, asked for again once, and then put aside for the review.

use crate::error::Result;
use crate::event::Event;
use crate::hear::Heard;
use crate::record::ClipOf;

use super::Visit;

/// So often in a row something is asked for before it is put aside.
const TRIES: u32 = 2;

impl Visit {
    /// Something sounded like dictation and was not understood. It is written down before it is answered.
    pub(super) fn miss(&mut self, heard: &Heard, words: String, why: String) -> Result<Vec<Event>> {
        let aside = self.tries + 1 >= TRIES;
        let id = self.record.not_understood(self.id, &words, &why, aside)?;
        self.record
            .keep_sound(self.id, ClipOf::Unclear(id), &heard.utterance.samples)?;
        self.missed_something = true;
        self.tries += 1;
        let mut events = vec![Event::Unclear {
            heard: words,
            start_s: heard.start_s,
            end_s: heard.end_s,
            why,
        }];
        let answer = self.grammar().readback.answer.clone();
        if !aside {
            events.push(self.say(answer.unclear));
            return Ok(events);
        }
        self.tries = 0;
        // What is open is what could not be answered; if nothing is, it is what could not be dictated.
        let asked = self
            .settle
            .pending()
            .last()
            .filter(|latest| !latest.finding.is_settled());
        if let Some(asked) = asked.map(|latest| latest.id) {
            self.record.park(asked)?;
            if let Some(parked) = self.settle.disregard() {
                events.push(Event::Parked {
                    id: parked.id,
                    finding: parked.finding,
                });
            }
        }
        events.push(self.say(answer.parked));
        Ok(events)
    }
}
