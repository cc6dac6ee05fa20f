//! The line from the sound card's callback, which must never wait, to the reader, which may.

use std::sync::Arc;
use std::sync::atomic::{AtomicU8, AtomicU64, Ordering};

use cpal::{Data, ErrorKind, FromSample, Sample, SampleFormat, SizedSample};
use rtrb::{Consumer, Producer, RingBuffer};

use super::{Resampler, SAMPLE_RATE, SoundError};

/// Seconds of sound that the ring holds: how long the reader may be busy before sound is lost.
const RING_SECONDS: usize = 4;

/// What both ends see. Only atomics: the callback may not lock.
#[derive(Default)]
struct Shared {
    dropped: AtomicU64,
    fault: AtomicU8,
}

const NO_FAULT: u8 = 0;
const UNPLUGGED: u8 = 1;
const DENIED: u8 = 2;
const FAILED: u8 = 3;

/// Makes the line for a microphone called `name` that delivers `channels` interleaved channels at `rate` frames per
/// second.
///
/// # Errors
/// A rate of zero.
pub fn feed(name: &str, channels: u16, rate: u32) -> Result<(Feed, Faults, Intake), SoundError> {
    let (producer, consumer) = RingBuffer::new(rate as usize * RING_SECONDS);
    let shared = Arc::new(Shared::default());
    let feed = Feed {
        ring: producer,
        channels: usize::from(channels.max(1)),
        shared: shared.clone(),
    };
    let intake = Intake {
        ring: consumer,
        resampler: Resampler::new(rate, SAMPLE_RATE)?,
        scratch: Vec::with_capacity(rate as usize / 4),
        shared: shared.clone(),
        name: name.to_owned(),
    };
    Ok((feed, Faults { shared }, intake))
}

/// The callback's end for sound.
pub struct Feed {
    ring: Producer<f32>,
    channels: usize,
    shared: Arc<Shared>,
}

impl Feed {
    /// Whether [`Feed::take`] understands a sample format.
    pub fn understands(format: SampleFormat) -> bool {
        !format.is_dsd()
    }

    /// Takes what the sound card delivers: mixes it to mono and puts it into the ring. Never waits, allocates, locks
    /// or writes; what does not fit is counted and lost.
    pub fn take(&mut self, data: &Data) {
        match data.sample_format() {
            SampleFormat::I8 => self.frames::<i8>(data),
            SampleFormat::I16 => self.frames::<i16>(data),
            SampleFormat::I24 => self.frames::<cpal::I24>(data),
            SampleFormat::I32 => self.frames::<i32>(data),
            SampleFormat::I64 => self.frames::<i64>(data),
            SampleFormat::U8 => self.frames::<u8>(data),
            SampleFormat::U16 => self.frames::<u16>(data),
            SampleFormat::U24 => self.frames::<cpal::U24>(data),
            SampleFormat::U32 => self.frames::<u32>(data),
            SampleFormat::U64 => self.frames::<u64>(data),
            SampleFormat::F32 => self.frames::<f32>(data),
            SampleFormat::F64 => self.frames::<f64>(data),
            // No stream is opened with any other format: see `understands`.
            _ => self.lose((data.len() / self.channels) as u64),
        }
    }

    fn frames<T: SizedSample>(&mut self, data: &Data)
    where
        f32: FromSample<T>,
    {
        let mut lost = 0;
        for frame in data
            .as_slice::<T>()
            .unwrap_or_default()
            .chunks_exact(self.channels)
        {
            let sum: f32 = frame.iter().map(|&sample| f32::from_sample(sample)).sum();
            let mean = sum / self.channels as f32;
            // A driver's stray NaN or huge float would spoil more than its own sample further on.
            let level = if mean.is_nan() { 0.0 } else { mean.clamp(-1.0, 1.0) };
            if self.ring.push(level).is_err() {
                lost += 1;
            }
        }
        self.lose(lost);
    }

    fn lose(&self, frames: u64) {
        if frames > 0 {
            self.shared.dropped.fetch_add(frames, Ordering::Relaxed);
        }
    }
}

/// The callback's end for what goes wrong.
pub struct Faults {
    shared: Arc<Shared>,
}

impl Faults {
    /// Takes an error of the stream. Never waits, allocates, locks or writes.
    pub fn take(&self, error: &cpal::Error) {
        let fault = match error.kind() {
            // The device ran over: something was lost, nobody knows how much.
            ErrorKind::Xrun => {
                self.shared.dropped.fetch_add(1, Ordering::Relaxed);
                return;
            }
            // The stream goes on.
            ErrorKind::RealtimeDenied | ErrorKind::DeviceChanged => return,
            ErrorKind::DeviceNotAvailable | ErrorKind::HostUnavailable | ErrorKind::StreamInvalidated => {
                UNPLUGGED
            }
            ErrorKind::PermissionDenied => DENIED,
            _ => FAILED,
        };
        // The first fault is the cause; later ones follow from it.
        let _ = self
            .shared
            .fault
            .compare_exchange(NO_FAULT, fault, Ordering::Release, Ordering::Relaxed);
    }
}

/// The reader's end.
pub struct Intake {
    ring: Consumer<f32>,
    resampler: Resampler,
    scratch: Vec<f32>,
    shared: Arc<Shared>,
    name: String,
}

impl Intake {
    /// Adds what has come in to `out` as mono samples at [`SAMPLE_RATE`] and says how many; does not wait.
    ///
    /// # Errors
    /// What the microphone reported, once everything that it delivered before has been read.
    pub fn read(&mut self, out: &mut Vec<f32>) -> Result<usize, SoundError> {
        let fault = self.shared.fault.load(Ordering::Acquire);
        let before = out.len();
        self.scratch.clear();
        while let Ok(sample) = self.ring.pop() {
            self.scratch.push(sample);
            // As much as one call can hold; a callback that never stops must not keep the reader here.
            if self.scratch.len() >= self.ring.buffer().capacity() {
                break;
            }
        }
        self.resampler.push(&self.scratch, out)?;
        if fault != NO_FAULT && self.scratch.is_empty() {
            self.resampler.finish(out)?;
        }
        if fault != NO_FAULT && out.len() == before {
            return Err(self.fault(fault));
        }
        Ok(out.len() - before)
    }

    /// How many frames were lost so far because nobody read in time. A device that ran over without saying how much
    /// it lost counts as one.
    pub fn dropped(&self) -> u64 {
        self.shared.dropped.load(Ordering::Relaxed)
    }

    fn fault(&self, fault: u8) -> SoundError {
        let (what, name) = ("microphone", self.name.clone());
        match fault {
            UNPLUGGED => SoundError::Unplugged { what, name },
            DENIED => SoundError::Denied { what, name },
            _ => SoundError::Failed { what, name },
        }
    }
}
