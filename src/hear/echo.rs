//! Takes out of the microphone's sound what the loudspeaker adds to it, by the WebRTC project's echo canceller (AEC3).

use sonora::config::EchoCanceller as Canceller;
use sonora::{AudioProcessing, Config, StreamConfig};

use super::SAMPLE_RATE;

/// Samples that the canceller takes at a time: 10 ms.
pub(super) const FRAME: usize = SAMPLE_RATE as usize / 100;
/// For so many frames (1 s) after the last sound the room may still ring, or the sound still be on its way.
const RINGS: usize = 100;

/// The canceller. It learns how the loudspeaker sounds in this room as it goes.
pub(super) struct EchoCanceller {
    processing: AudioProcessing,
    /// Frames since something was sounded.
    quiet: usize,
}

impl EchoCanceller {
    pub(super) fn new() -> EchoCanceller {
        let one_channel = StreamConfig::new(SAMPLE_RATE, 1);
        let config = Config {
            echo_canceller: Some(Canceller::default()),
            ..Config::default()
        };
        EchoCanceller {
            processing: AudioProcessing::builder()
                .config(config)
                .capture_config(one_channel)
                .render_config(one_channel)
                .build(),
            quiet: RINGS,
        }
    }

    /// What is left of `microphone` without the echo of `sounded`, which went to the loudspeaker at the same time or up to
    /// half a second before. Where nothing was sounded for a second, all of it.
    pub(super) fn clean(&mut self, microphone: &[f32; FRAME], sounded: &[f32; FRAME]) -> [f32; FRAME] {
        self.quiet = match sounded.iter().all(|sample| *sample == 0.0) {
            true => self.quiet.saturating_add(1),
            false => 0,
        };
        if self.quiet > RINGS {
            return *microphone;
        }
        let (mut played, mut clean) = ([0.0; FRAME], [0.0; FRAME]);
        let done = self
            .processing
            .process_render_f32(&[sounded], &mut [&mut played])
            .and_then(|()| {
                self.processing
                    .process_capture_f32(&[microphone], &mut [&mut clean])
            });
        // Frames of the size and the rate that it was made for are never refused.
        done.map_or(*microphone, |()| clean)
    }
}
