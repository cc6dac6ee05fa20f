//! Whether somebody in the room speaks while the loudspeaker does ("double talk"): what is left without the echo is a voice,
//! and is most of what the microphone hears.

use std::collections::VecDeque;

use super::voice_detector::{FRAME, VoiceDetector};

/// A frame is somebody's if it is at least so likely to be voice …
const VOICE: f32 = 0.5;
/// … is not softer than what the microphone hears by more than this factor of power, 6 dB …
const LEFT: f32 = 0.25;
/// … nor softer by more than 14 dB than the loudest that the microphone heard lately (0.4 s): a canceller that still learns
/// leaves that much of an echo, in its gaps too.
const OF_LOUDEST: f32 = 0.04;
const LATELY: usize = 25;
/// So many such frames (96 ms) of the last (192 ms) are somebody who speaks, and no knock.
const FRAMES: usize = 6;
const LAST: usize = 12;

/// Hears the microphone with and without the echo.
pub(super) struct DoubleTalk {
    detector: VoiceDetector,
    microphone: Vec<f32>,
    clean: Vec<f32>,
    last: VecDeque<bool>,
    /// The power of what the microphone heard lately.
    powers: VecDeque<f32>,
}

impl DoubleTalk {
    pub(super) fn new() -> DoubleTalk {
        DoubleTalk {
            detector: VoiceDetector::new(),
            microphone: Vec::new(),
            clean: Vec::new(),
            last: VecDeque::with_capacity(LAST),
            powers: VecDeque::with_capacity(LATELY),
        }
    }

    /// Forgets who spoke; what is known of the room stays.
    pub(super) fn begin(&mut self) {
        self.last.clear();
        self.powers.clear();
    }

    /// Hears both, of the same moment. True if somebody speaks.
    pub(super) fn hear(&mut self, microphone: &[f32], clean: &[f32]) -> bool {
        self.microphone.extend_from_slice(microphone);
        self.clean.extend_from_slice(clean);
        while let (Some(raw), Some(clean)) = (self.microphone.first_chunk(), self.clean.first_chunk()) {
            let frame = self.detector.hear(clean);
            let raw = power(raw);
            push(&mut self.powers, LATELY, raw);
            let loudest = self.powers.iter().copied().fold(0.0, f32::max);
            let is_left = frame.power >= LEFT * raw && frame.power >= OF_LOUDEST * loudest;
            push(&mut self.last, LAST, frame.voice >= VOICE && is_left);
            self.microphone.drain(..FRAME);
            self.clean.drain(..FRAME);
        }
        self.last.iter().filter(|near| **near).count() >= FRAMES
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
