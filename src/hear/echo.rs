//! Takes out of the microphone's sound what the loudspeaker adds to it, by the WebRTC project's echo canceller (AEC3).

use sonora_aec3::block::Block;
use sonora_aec3::block_processor::BlockProcessor;
use sonora_aec3::common::BLOCK_SIZE;
use sonora_aec3::config::EchoCanceller3Config;

use super::SAMPLE_RATE;

/// Samples that the canceller takes at a time: 4 ms.
pub(super) const FRAME: usize = BLOCK_SIZE;
/// For so many frames (0.4 s) after the last sound the room may still ring, or the sound still be on its way.
const RINGS: usize = 100;
/// Full scale as the canceller counts it.
const SCALE: f32 = 32_768.0;

/// What the microphone heard without the echo.
pub(super) struct Clean {
    /// The echo is subtracted as far as it is a sum of what was sounded: what is left of it is soft, and whoever speaks sounds
    /// as they are.
    pub subtracted: [f32; FRAME],
    /// What is left is suppressed as well, and with it some of whoever speaks.
    pub suppressed: [f32; FRAME],
}

/// The canceller. It learns how the loudspeaker sounds in this room as it goes.
pub(super) struct EchoCanceller {
    processor: BlockProcessor,
    /// Frames since something was sounded.
    quiet: usize,
}

impl EchoCanceller {
    pub(super) fn new() -> EchoCanceller {
        let mut config = EchoCanceller3Config::default();
        config.filter.export_linear_aec_output = true;
        EchoCanceller {
            processor: BlockProcessor::new(&config, SAMPLE_RATE as usize, 1, 1),
            quiet: RINGS + 1,
        }
    }

    /// What is left of `microphone` without the echo of `sounded`, which went to the loudspeaker at the same time or up to
    /// half a second before. Where nothing was sounded lately, all of it.
    pub(super) fn clean(&mut self, microphone: &[f32; FRAME], sounded: &[f32; FRAME]) -> Clean {
        self.quiet = match sounded.iter().all(|sample| *sample == 0.0) {
            true => self.quiet.saturating_add(1),
            false => 0,
        };
        if self.quiet > RINGS {
            return Clean {
                subtracted: *microphone,
                suppressed: *microphone,
            };
        }
        self.processor.buffer_render(&block(sounded));
        let (mut subtracted, mut suppressed) = (Block::new(1, 1), block(microphone));
        let cut_off = microphone.iter().any(|sample| sample.abs() >= 1.0);
        self.processor
            .process_capture(false, cut_off, Some(&mut subtracted), &mut suppressed);
        Clean {
            subtracted: samples(&subtracted),
            suppressed: samples(&suppressed),
        }
    }
}

fn block(samples: &[f32; FRAME]) -> Block {
    let mut block = Block::new(1, 1);
    for (to, sample) in block.view_mut(0, 0).iter_mut().zip(samples) {
        *to = sample * SCALE;
    }
    block
}

fn samples(block: &Block) -> [f32; FRAME] {
    let mut samples = [0.0; FRAME];
    for (to, sample) in samples.iter_mut().zip(block.view(0, 0)) {
        *to = sample / SCALE;
    }
    samples
}
