//! Cuts a stream of sound into utterances: from where somebody begins to speak to the pause that follows.

use super::SAMPLE_RATE;
use super::utterance::{Settings, Utterance};
use super::voice_detector::{FRAME, Frame, VoiceDetector};

/// How far back from the frames that gave speech away its beginning is looked for: a first "s" or "f" is sound
/// before it is voice. 320 ms.
const LOOK_BACK: usize = 20 * FRAME;
/// How long a quiet there may be between such a consonant and the voice, as in "stand". 80 ms.
const LONGEST_CLOSURE: usize = 6 * FRAME;
/// Where a too long utterance is cut: within this many seconds of its end.
const CUT_WITHIN_S: f64 = 3.0;

/// Cuts the stream. How the stream is cut into calls of [`Endpointer::push`] makes no difference to the result.
pub struct Endpointer {
    settings: Settings,
    detector: VoiceDetector,
    /// The sound that may still be needed; its first sample is number `base` of the stream.
    sound: Vec<f32>,
    base: usize,
    /// The frames heard of it, each with the number of its first sample.
    frames: Vec<(usize, Frame)>,
    /// The sample after the last frame heard.
    heard: usize,
    /// Frames in a row that could begin an utterance.
    run: usize,
    /// No utterance reaches back before this sample: the one before has it.
    floor: usize,
    open: Option<Open>,
}

/// An utterance that has begun.
struct Open {
    /// Its first sample, pre-roll included.
    from: usize,
    /// Where its speech is looked for.
    speech_from: usize,
    /// The sample after the last frame of speech.
    speech_to: usize,
    /// The rest of an utterance that was cut: kept however short it is.
    goes_on: bool,
}

impl Endpointer {
    /// Makes one for a stream that begins at second 0.
    pub fn new(settings: Settings) -> Self {
        Endpointer {
            settings,
            detector: VoiceDetector::new(),
            sound: Vec::new(),
            base: 0,
            frames: Vec::new(),
            heard: 0,
            run: 0,
            floor: 0,
            open: None,
        }
    }

    /// Takes the next samples of the stream, at [`SAMPLE_RATE`], and gives the utterances that ended in them.
    pub fn push(&mut self, samples: &[f32]) -> Vec<Utterance> {
        self.sound.extend_from_slice(samples);
        let mut ended = Vec::new();
        while let Some(samples) = self.sound[self.heard - self.base..].first_chunk::<FRAME>() {
            let frame = self.detector.hear(samples);
            self.frames.push((self.heard, frame));
            self.heard += FRAME;
            ended.extend(self.step(frame));
        }
        self.forget();
        ended
    }

    /// Ends the stream, or the utterance that is being said: gives it if there is one. The clock goes on.
    pub fn finish(&mut self) -> Option<Utterance> {
        self.heard = self.base + self.sound.len();
        self.run = 0;
        let open = self.open.take()?;
        self.close(&open, self.heard)
    }

    fn step(&mut self, frame: Frame) -> Option<Utterance> {
        let Some(open) = &mut self.open else {
            self.run = if frame.voice >= self.settings.on {
                self.run + 1
            } else {
                0
            };
            if self.run >= self.settings.frames_on {
                self.begin();
            }
            return None;
        };
        if frame.voice >= self.settings.off {
            open.speech_to = self.heard;
        }
        if self.heard - open.speech_to >= samples_in(self.settings.pause_s) {
            let open = self.open.take()?;
            return self.close(&open, self.heard);
        }
        if self.heard + FRAME - open.from > samples_in(self.settings.longest_s) {
            let open = self.open.take()?;
            return self.cut(open);
        }
        None
    }

    fn begin(&mut self) {
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
        });
        self.run = 0;
    }

    /// The utterance, if there is enough voice in it; its samples end before `limit`.
    fn close(&mut self, open: &Open, limit: usize) -> Option<Utterance> {
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
        self.floor = to;
        Some(Utterance {
            start_s: seconds(start),
            end_s: seconds(end),
            samples: self.sound[open.from - self.base..to - self.base].to_vec(),
        })
    }

    /// Cuts a too long utterance at its quietest recent place. What follows stays open as the next one.
    fn cut(&mut self, open: Open) -> Option<Utterance> {
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

    /// Lets go of sound that no utterance can need any more.
    fn forget(&mut self) {
        let needed = samples_in(self.settings.pre_roll_s) + LOOK_BACK + (self.settings.frames_on + 1) * FRAME;
        let from = self
            .open
            .as_ref()
            .map_or(self.heard.saturating_sub(needed), |open| open.from);
        // Only now and then, since what is kept must be moved.
        if from >= self.base + SAMPLE_RATE as usize {
            self.sound.drain(..from - self.base);
            self.base = from;
            let old = self.frames.partition_point(|(at, _)| *at < from);
            self.frames.drain(..old);
        }
    }
}

fn samples_in(seconds: f64) -> usize {
    (seconds * f64::from(SAMPLE_RATE)).round() as usize
}

fn seconds(samples: usize) -> f64 {
    samples as f64 / f64::from(SAMPLE_RATE)
}
