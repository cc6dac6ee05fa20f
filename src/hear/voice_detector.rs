//! Whether somebody speaks, 16 ms at a time.

use earshot::Detector;

/// Samples per frame: what the detector takes, 16 ms.
pub(crate) const FRAME: usize = 256;

/// Below this level, in dB of full scale, a frame is not voice whatever the detector says: neural detectors may fire
/// on near-digital silence. A whisper into a badly set microphone is still 15 dB above it.
const SILENCE_DBFS: f32 = -75.0;

/// What one frame sounded like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Frame {
    /// How likely it is voice, 0 to 1; 0 below the level of silence.
    pub voice: f32,
    /// Power about the mean, full scale being 1, so that a microphone's constant offset does not count as sound.
    pub power: f32,
}

/// The detector and what it remembers of the frames before.
pub(crate) struct VoiceDetector {
    detector: Detector,
}

impl VoiceDetector {
    pub(crate) fn new() -> Self {
        VoiceDetector {
            detector: Detector::default(),
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
        let silent = power < 10_f32.powf(SILENCE_DBFS / 10.0);
        Frame {
            voice: if silent { 0.0 } else { voice },
            power,
        }
    }
}
