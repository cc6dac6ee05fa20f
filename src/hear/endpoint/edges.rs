//! Where exactly an utterance begins and ends.

use super::super::utterance::Utterance;
use super::super::voice_detector::{FRAME, Frame};
use super::{Endpointer, Now, Open, samples_in, seconds};

/// How far back from the frames that gave speech away its beginning is looked for: a first "s" or "f" is sound
/// before it is voice. 320 ms.
pub(super) const LOOK_BACK: usize = 20 * FRAME;
/// How long a quiet there may be between such a consonant and the voice, as in "stand". 80 ms.
const LONGEST_CLOSURE: usize = 6 * FRAME;
/// Where a too long utterance is cut: within this many seconds of its end.
const CUT_WITHIN_S: f64 = 3.0;

impl Endpointer {
    pub(super) fn begin(&mut self) {
        let first = self.heard - self.run * FRAME;
        let mut speech_from = first;
        for (at, frame) in self.frames.iter().rev().skip(self.run) {
            if *at + LOOK_BACK < first || *at + LONGEST_CLOSURE < speech_from {
                break;
            }
            if frame.loud {
                speech_from = *at;
            }
        }
        let speech_from = speech_from.max(self.floor);
        let from = speech_from
            .saturating_sub(samples_in(self.settings.pre_roll_s))
            .max(self.floor);
        self.open = Some(Open {
            from,
            speech_from,
            speech_to: self.heard,
            goes_on: false,
            now: Now::Speaking,
            pauses: 0,
        });
        self.run = 0;
    }

    /// The utterance, and the next one begins after it.
    pub(super) fn close(&mut self, open: &Open, limit: usize) -> Option<Utterance> {
        let utterance = self.said(open, limit)?;
        self.floor = open.from + utterance.samples.len();
        Some(utterance)
    }

    /// What was said, if there is enough voice in it; its samples end before `limit`.
    pub(super) fn said(&self, open: &Open, limit: usize) -> Option<Utterance> {
        let speech = self
            .frames
            .iter()
            .filter(|(at, _)| *at >= open.speech_from && *at < open.speech_to.min(limit));
        // By what is known of the room now: the first half second was judged without.
        let least = self.detector.least_power();
        let clear = |frame: &Frame| frame.voice >= self.settings.on && frame.power >= least;
        let voiced = speech.clone().filter(|(_, frame)| clear(frame)).count() * FRAME;
        let mut speech = speech
            .filter(|(_, frame)| frame.voice >= self.settings.off)
            .map(|(at, _)| *at);
        let first = speech.next()?;
        let end = speech.next_back().unwrap_or(first) + FRAME;
        let start = if open.goes_on { first } else { open.speech_from };
        if voiced < samples_in(self.settings.least_voice_s) && !open.goes_on {
            return None;
        }
        let to = (end + samples_in(self.settings.tail_s)).min(limit);
        Some(Utterance {
            start_s: seconds(start),
            end_s: seconds(end),
            samples: self.sound[open.from - self.base..to - self.base].to_vec(),
        })
    }

    /// Cuts a too long utterance at its quietest recent place. What follows stays open as the next one.
    pub(super) fn cut(&mut self, open: Open) -> Option<Utterance> {
        let recent = samples_in(CUT_WITHIN_S.min(self.settings.longest_s / 2.0));
        let first = self
            .frames
            .partition_point(|(at, _)| *at < self.heard.saturating_sub(recent).max(open.from));
        let power = |i: usize| {
            self.frames[i..i + 3]
                .iter()
                .map(|(_, frame)| frame.power)
                .sum::<f32>()
        };
        let at = (first..self.frames.len().saturating_sub(2))
            .min_by(|&a, &b| power(a).total_cmp(&power(b)))
            .map_or(self.heard, |quietest| self.frames[quietest + 1].0);
        let rest = Open {
            from: at,
            speech_from: at,
            speech_to: open.speech_to,
            goes_on: true,
            now: Now::Speaking,
            pauses: 0,
        };
        let whole = Open {
            speech_to: open.speech_to.min(at),
            ..open
        };
        let mut utterance = self.close(&whole, at);
        if let Some(utterance) = &mut utterance {
            // Up to the cut itself, beyond the tail, so that nothing is lost between the two.
            utterance.samples = self.sound[whole.from - self.base..at - self.base].to_vec();
        }
        self.floor = at;
        self.open = Some(rest);
        utterance
    }
}
