//! Whether somebody speaks, 16 ms at a time.

use std::collections::VecDeque;

use earshot::Detector;

/// Samples per frame: what the detector takes, 16 ms.
pub(crate) const FRAME: usize = 256;

/// Below this level, in dB of full scale, a frame is not voice whatever the detector says: neural detectors may fire
/// on near-digital silence. A whisper into a badly set microphone is still 15 dB above it.
const SILENCE_DBFS: f32 = -75.0;

/// The quietest frame of this many (3 s) is the room's own sound: even fluent speech has a gap in that time.
const ROOM_FRAMES: usize = 188;
/// Voice is louder than the room by this, in dB. The power of steady noise stays within 2.5 dB of its quietest
/// frame, so that steady noise of any level is never voice. The detector alone takes loud white noise for voice.
const ABOVE_ROOM_DB: f32 = 3.0;
/// Several people who talk at once are louder than the quietest gap between their words by less than this on the mean, in dB:
/// eight are by 8.
const GAPS_DB: f32 = 12.0;
/// Until this many frames (0.5 s) have been heard the room is not known …
const UNKNOWN_FRAMES: usize = 32;
/// … and the detector must be as sure as this. At the start of a stream noise alone reaches 0.62.
const SURE: f32 = 0.7;

/// What one frame sounded like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Frame {
    /// How likely it is voice, 0 to 1; 0 where it is not loud enough.
    pub voice: f32,
    /// Whether it is louder than the room.
    pub loud: bool,
    /// Power about the mean, full scale being 1, so that a microphone's constant offset does not count as sound.
    pub power: f32,
}

/// The detector and what it remembers of the frames before.
pub(crate) struct VoiceDetector {
    detector: Detector,
    /// The power of the last frames.
    room: VecDeque<f32>,
    known: bool,
}

impl VoiceDetector {
    pub(crate) fn new() -> Self {
        VoiceDetector {
            detector: Detector::default(),
            room: VecDeque::with_capacity(ROOM_FRAMES),
            known: false,
        }
    }

    /// Hears the next frame.
    pub(crate) fn hear(&mut self, samples: &[f32; FRAME]) -> Frame {
        // The detector takes nothing beyond full scale, and one NaN would stay in its memory for good.
        let frame = samples.map(|sample| {
            if sample.is_finite() {
                sample.clamp(-1.0, 1.0)
            } else {
                0.0
            }
        });
        let voice = self.detector.predict_f32(&frame);
        let mean = frame.iter().sum::<f32>() / FRAME as f32;
        let power = frame.iter().map(|sample| (sample - mean).powi(2)).sum::<f32>() / FRAME as f32;
        if self.room.len() == ROOM_FRAMES {
            self.room.pop_front();
        }
        self.room.push_back(power);
        self.known |= self.room.len() > UNKNOWN_FRAMES;
        let least = if self.known {
            self.least_power()
        } else {
            ratio(SILENCE_DBFS)
        };
        let loud = power >= least;
        let voice = if loud && (self.known || voice >= SURE) {
            voice
        } else {
            0.0
        };
        Frame { voice, loud, power }
    }

    /// Whether sound of this power may be whoever speaks, whose voice was as loud as `loudest`, rather than other people: it
    /// stands out from the room by what separates voices from their gaps, or is softer than the loudest by less than `others_db`.
    pub(crate) fn is_near(&self, power: f32, loudest: f32, others_db: f32) -> bool {
        power >= (self.room() * ratio(GAPS_DB)).min(loudest * ratio(-others_db))
    }

    /// The power that voice must have to stand out from the room, by what is known of the room now.
    pub(crate) fn least_power(&self) -> f32 {
        ratio(SILENCE_DBFS).max(self.room() * ratio(ABOVE_ROOM_DB))
    }

    fn room(&self) -> f32 {
        self.room.iter().copied().fold(f32::MAX, f32::min)
    }
}

/// A ratio of powers from dB.
fn ratio(db: f32) -> f32 {
    10_f32.powf(db / 10.0)
}
