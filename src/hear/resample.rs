//! One sample rate to another, as a stream, with times kept true.

use rubato::audioadapter_buffers::direct::InterleavedSlice;
use rubato::{Fft, FixedSync, Resampler as _};

use super::SoundError;

/// Blocks per second. A block of 20 ms is long enough for a steep filter and short enough not to be felt: with the
/// filter's own 10 ms a sample comes out at most 30 ms after it went in.
const BLOCKS_PER_SECOND: u32 = 50;

/// The loudest sample let in: 24 dB beyond full scale.
const LOUDEST: f32 = 16.0;

/// Converts mono sound from one rate to another. The filter's delay is cut off at the start and made up for at the
/// end, so that a sound at second t comes out at second t.
pub struct Resampler {
    /// `None` when the rates are equal and the samples pass unchanged.
    fft: Option<Fft<f32>>,
    from: u32,
    to: u32,
    /// Samples that do not fill a block yet.
    waiting: Vec<f32>,
    block: Vec<f32>,
    /// Outputs of the filter's delay that are still to be cut off.
    delay: usize,
    taken: u64,
    given: u64,
}

impl Resampler {
    /// Makes a converter between two rates in samples per second. Fails if one of them is zero.
    pub fn new(from: u32, to: u32) -> Result<Self, SoundError> {
        let mut resampler = Resampler {
            fft: None,
            from,
            to,
            waiting: Vec::new(),
            block: Vec::new(),
            delay: 0,
            taken: 0,
            given: 0,
        };
        if from == 0 || to == 0 {
            return Err(resampler.failed("a rate cannot be zero"));
        }
        if from != to {
            // Whole blocks of both rates, and even ones: the filter of an odd block is centred half a sample off.
            let mut block = (from / BLOCKS_PER_SECOND)
                .max(1)
                .next_multiple_of(from / gcd(from, to)) as usize;
            if block % 2 == 1 || (block * to as usize / from as usize) % 2 == 1 {
                block *= 2;
            }
            let fft = Fft::new(from as usize, to as usize, block, 1, FixedSync::Both)
                .map_err(|error| resampler.failed(error))?;
            resampler.block = vec![0.0; fft.output_frames_max()];
            resampler.delay = fft.output_delay();
            resampler.fft = Some(fft);
        }
        Ok(resampler)
    }

    /// Takes samples in and adds to `out` what has become ready. How the samples are cut into calls makes no
    /// difference. Between unequal rates, what is no number counts as 0 and what is far beyond full scale is clipped.
    pub fn push(&mut self, samples: &[f32], out: &mut Vec<f32>) -> Result<(), SoundError> {
        let Some(block) = self.fft.as_ref().map(|fft| fft.input_frames_next()) else {
            out.extend_from_slice(samples);
            return Ok(());
        };
        self.taken += samples.len() as u64;
        // The Fourier transform panics on what overflows in it.
        let tame = |&sample: &f32| {
            if sample.is_nan() {
                0.0
            } else {
                sample.clamp(-LOUDEST, LOUDEST)
            }
        };
        self.waiting.extend(samples.iter().map(tame));
        let mut used = 0;
        while self.waiting.len() - used >= block {
            self.convert(used, block, out)?;
            used += block;
        }
        self.waiting.drain(..used);
        Ok(())
    }

    /// Ends the sound: adds what is still inside to `out` and makes ready for another sound.
    pub fn finish(&mut self, out: &mut Vec<f32>) -> Result<(), SoundError> {
        let Some(block) = self.fft.as_ref().map(|fft| fft.input_frames_next()) else {
            return Ok(());
        };
        let wanted = (self.taken * u64::from(self.to)).div_ceil(u64::from(self.from));
        while self.given < wanted {
            self.waiting.resize(block, 0.0);
            self.convert(0, block, out)?;
            self.waiting.clear();
        }
        out.truncate(out.len() - (self.given - wanted) as usize);
        if let Some(fft) = &mut self.fft {
            fft.reset();
            self.delay = fft.output_delay();
        }
        self.waiting.clear();
        (self.taken, self.given) = (0, 0);
        Ok(())
    }

    /// Converts the block of waiting samples that starts at `at`.
    fn convert(&mut self, at: usize, block: usize, out: &mut Vec<f32>) -> Result<(), SoundError> {
        let Some(fft) = &mut self.fft else { return Ok(()) };
        let frames_out = self.block.len();
        let converted = InterleavedSlice::new(&self.waiting[at..at + block], 1, block)
            .map_err(|error| error.to_string())
            .and_then(|input| {
                let mut output = InterleavedSlice::new_mut(&mut self.block, 1, frames_out)
                    .map_err(|error| error.to_string())?;
                fft.process_into_buffer(&input, &mut output, None)
                    .map_err(|error| error.to_string())
            });
        let (_, frames) = converted.map_err(|why| self.failed(why))?;
        let cut = self.delay.min(frames);
        self.delay -= cut;
        out.extend_from_slice(&self.block[cut..frames]);
        self.given += (frames - cut) as u64;
        Ok(())
    }

    fn failed(&self, why: impl ToString) -> SoundError {
        SoundError::Conversion {
            from: self.from,
            to: self.to,
            why: why.to_string(),
        }
    }
}

/// Converts a whole sound at once.
///
/// # Errors
/// A rate of zero.
pub fn resample(samples: &[f32], from: u32, to: u32) -> Result<Vec<f32>, SoundError> {
    let mut out = Vec::new();
    let mut resampler = Resampler::new(from, to)?;
    resampler.push(samples, &mut out)?;
    resampler.finish(&mut out)?;
    Ok(out)
}

fn gcd(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { gcd(b, a % b) }
}
