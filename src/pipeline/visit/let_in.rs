//! Whether what was said may be dictation at all: where a cue or a key is wanted, only what comes with it is.

use crate::event::Event;
use crate::finding::{Control, Outcome};
use crate::grammar::fragment::Fill;
use crate::hear::Heard;
use crate::interpret::{Understood, fills};
use crate::pipeline::WayIn;

use super::Visit;

/// After the cue by itself, what begins within so many seconds is dictation.
const CUE_HOLDS_S: f64 = 5.0;

impl Visit {
    /// Whether it comes with what lets dictation in, or needs none.
    pub(super) fn lets_in(&self, heard: &Heard, understood: &Understood) -> bool {
        let follows_cue = self
            .cue_ended_s
            .is_some_and(|ended| (ended..ended + CUE_HOLDS_S).contains(&heard.start_s));
        let came_with = match self.way_in {
            WayIn::Open => true,
            WayIn::Cue => understood.reading.cued || follows_cue,
            WayIn::KeyHeld | WayIn::KeyTapped => heard.let_in,
        };
        came_with || self.is_asked_for() || self.is_for_the_program(understood)
    }

    /// The cue and nothing else: what comes next is dictation.
    pub(super) fn heed_cue(&mut self, heard: &Heard, understood: &Understood) -> Option<Event> {
        self.cue_ended_s = None;
        let alone = understood.reading.cued && self.is_cue_alone(&heard.free.text);
        if self.way_in != WayIn::Cue || !alone {
            return None;
        }
        self.cue_ended_s = Some(heard.end_s);
        Some(Event::Opened)
    }

    fn is_cue_alone(&self, text: &str) -> bool {
        let words = self.grammar().words(text);
        self.grammar().cue_in(&words) == words.len()
    }

    /// The program has asked for something.
    fn is_asked_for(&self) -> bool {
        let open = self
            .settle
            .pending()
            .last()
            .is_some_and(|latest| !latest.finding.is_settled());
        open || self.tries > 0
    }

    /// A control word, but for those that people also say to each other.
    fn is_for_the_program(&self, understood: &Understood) -> bool {
        match &understood.reading.outcome {
            Outcome::Control { findings, .. } if findings.is_empty() => true,
            Outcome::Control {
                control: Control::Correction,
                ..
            } => {
                let fills = fills(self.grammar(), &understood.words);
                fills
                    .iter()
                    .flatten()
                    .any(|fill| matches!(fill, Fill::Control { everyday: false, .. }))
            }
            _ => false,
        }
    }
}
