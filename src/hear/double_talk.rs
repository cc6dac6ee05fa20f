//! Whether somebody in the room speaks while the loudspeaker does ("double talk"): what is left without the echo is a voice,
//! and is most of what the microphone hears.

use std::collections::VecDeque;

use super::voice_detector::{FRAME, VoiceDetector};

/// A frame is somebody's if it is at least so likely to be voice, and is louder by this factor of power, 8 dB, than what the
/// canceller leaves of the echo. Both are told against the loudest that the microphone heard lately (0.4 s).
const VOICE: f32 = 0.5;
const LOUDER: f32 = 6.3;
const LATELY: usize = 25;
/// What is left of an echo: whenever the loudspeaker begins, 22 dB less than it, in its gaps too, for its sound may now take
/// another time to the microphone; after a second or two far less. Less than 34 dB is not counted on.
const LEFT_AT_FIRST: f32 = 0.0063;
const LEFT_AT_LEAST: f32 = 0.0004;
const FORGETS: f32 = 0.98;
/// Until then (0.5 s) it is not known at all what is left.
const UNKNOWN: usize = 31;
/// So many such frames (96 ms) of the last (192 ms) are somebody who speaks, and no knock.
const FRAMES: usize = 6;
const LAST: usize = 12;

/// Hears the microphone with and without the echo.
pub(super) struct DoubleTalk {
    detector: VoiceDetector,
    microphone: Vec<f32>,
    clean: Vec<f32>,
    last: VecDeque<bool>,
    /// Frames since the loudspeaker began.
    since: usize,
    /// The power of what the microphone heard lately.
    powers: VecDeque<f32>,
    /// What the canceller leaves of the echo, as a share of its power.
    left: f32,
}

impl DoubleTalk {
    pub(super) fn new() -> DoubleTalk {
        DoubleTalk {
            detector: VoiceDetector::new(),
            microphone: Vec::new(),
            clean: Vec::new(),
            last: VecDeque::with_capacity(LAST),
            since: 0,
            powers: VecDeque::with_capacity(LATELY),
            left: LEFT_AT_FIRST,
        }
    }

    /// The loudspeaker begins.
    pub(super) fn begin(&mut self) {
        self.left = LEFT_AT_FIRST;
        self.since = 0;
        self.last.clear();
        self.powers.clear();
    }

    /// Hears both, of the same moment. True if somebody speaks.
    pub(super) fn hear(&mut self, microphone: &[f32], clean: &[f32]) -> bool {
        self.microphone.extend_from_slice(microphone);
        self.clean.extend_from_slice(clean);
        while let (Some(raw), Some(clean)) = (self.microphone.first_chunk(), self.clean.first_chunk()) {
            let frame = self.detector.hear(clean);
            push(&mut self.powers, LATELY, power(raw));
            let loudest = self.powers.iter().copied().fold(f32::MIN_POSITIVE, f32::max);
            let share = frame.power / loudest;
            let near = frame.voice >= VOICE && share >= LOUDER * self.left;
            if !near {
                self.left = (self.left * FORGETS)
                    .max(share)
                    .clamp(LEFT_AT_LEAST, LEFT_AT_FIRST);
            }
            push(&mut self.last, LAST, near);
            self.since += 1;
            self.microphone.drain(..FRAME);
            self.clean.drain(..FRAME);
        }
        self.since >= UNKNOWN && self.last.iter().filter(|near| **near).count() >= FRAMES
    }
}

fn push<T>(last: &mut VecDeque<T>, most: usize, value: T) {
    if last.len() == most {
        last.pop_front();
    }
    last.push_back(value);
}

/// As [`VoiceDetector`] reckons it.
fn power(samples: &[f32; FRAME]) -> f32 {
    let mean = samples.iter().sum::<f32>() / FRAME as f32;
    samples.iter().map(|sample| (sample - mean).powi(2)).sum::<f32>() / FRAME as f32
}
