//! The loudspeaker.

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, OnceLock};
use std::time::{Duration, Instant};

use cpal::traits::{DeviceTrait, StreamTrait};
use cpal::{Data, ErrorKind, FromSample, SampleFormat, SizedSample, SupportedStreamConfig};

use crate::hear::devices::{self, LOUDSPEAKER};
use crate::hear::quiet::quietly;
use crate::hear::{SoundError, resample};

/// How much longer than the sound itself playing may take before the loudspeaker counts as failed.
const PATIENCE: Duration = Duration::from_secs(5);
/// The longest that is waited for a device to sound what it has already taken.
const LONGEST_BUFFER: Duration = Duration::from_secs(1);

/// A loudspeaker that answers.
pub struct Loudspeaker {
    device: cpal::Device,
    config: SupportedStreamConfig,
    name: String,
}

impl Loudspeaker {
    /// Finds the loudspeaker with this name, as `couchside devices` lists it, or the system's default one.
    ///
    /// # Errors
    /// There is none, none of that name, or it does not answer.
    pub fn open(name: Option<&str>) -> Result<Self, SoundError> {
        quietly(|| {
            let device = devices::find_loudspeaker(name)?;
            let name = devices::name_of(&device);
            let config = device
                .default_output_config()
                .map_err(|error| SoundError::opening(LOUDSPEAKER, &name, &error))?;
            Ok(Loudspeaker { device, config, name })
        })
    }

    /// Begins to play mono samples of `rate` per second.
    ///
    /// # Errors
    /// The loudspeaker cannot be started.
    pub fn begin(&self, samples: &[f32], rate: u32) -> Result<Playing, SoundError> {
        let samples = resample(samples, rate, self.config.sample_rate())?;
        let lasts = Duration::from_secs_f64(samples.len() as f64 / f64::from(self.config.sample_rate()));
        let (mut player, progress) = player(samples, self.config.channels());
        let faults = progress.clone();
        let failed = |error: cpal::Error| SoundError::opening(LOUDSPEAKER, &self.name, &error);
        let stream = quietly(|| {
            let stream = self.device.build_output_stream_raw(
                self.config.config(),
                self.config.sample_format(),
                move |data, info| {
                    let time = info.timestamp();
                    player.fill(data, time.playback.saturating_duration_since(time.callback));
                },
                move |error| faults.fault(&error),
                None,
            )?;
            stream.play().map(|()| stream)
        })
        .map_err(failed)?;
        Ok(Playing {
            progress,
            limit: Instant::now() + lasts + PATIENCE,
            name: self.name.clone(),
            _stream: stream,
        })
    }
}

/// Sound that is being played. Dropped, it stops at once.
pub struct Playing {
    progress: Arc<Progress>,
    limit: Instant,
    name: String,
    _stream: cpal::Stream,
}

impl Playing {
    /// Whether all of it has been heard.
    ///
    /// # Errors
    /// The loudspeaker was unplugged, or stands still.
    pub fn is_over(&self) -> Result<bool, SoundError> {
        let (what, name) = (LOUDSPEAKER, self.name.clone());
        self.progress.is_over(self.limit).map_err(|fault| match fault {
            Fault::Unplugged => SoundError::Unplugged { what, name },
            Fault::Failed => SoundError::Failed { what, name },
        })
    }
}

/// Why playing stopped early.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// The device went away.
    Unplugged,
    /// It reported something else, or takes no more sound.
    Failed,
}

/// How far playing has come; what the callbacks and the waiting thread share.
#[derive(Default)]
pub struct Progress {
    handed_over: AtomicBool,
    /// Microseconds from handing over the last sample to hearing it.
    buffered_us: AtomicU64,
    /// When it was first seen that everything is handed over.
    handed_over_at: OnceLock<Instant>,
    unplugged: AtomicBool,
    failed: AtomicBool,
}

impl Progress {
    /// Takes an error of the stream. Never waits, allocates, locks or writes.
    pub fn fault(&self, error: &cpal::Error) {
        match error.kind() {
            // A gap in the sound, or news that change nothing.
            ErrorKind::Xrun | ErrorKind::RealtimeDenied | ErrorKind::DeviceChanged => {}
            ErrorKind::DeviceNotAvailable | ErrorKind::HostUnavailable | ErrorKind::StreamInvalidated => {
                self.unplugged.store(true, Ordering::Release);
            }
            _ => self.failed.store(true, Ordering::Release),
        }
    }

    /// Whether everything has been heard.
    ///
    /// # Errors
    /// A fault that was reported, or the limit passed.
    pub fn is_over(&self, limit: Instant) -> Result<bool, Fault> {
        if self.unplugged.load(Ordering::Acquire) {
            return Err(Fault::Unplugged);
        }
        let now = Instant::now();
        if self.failed.load(Ordering::Acquire) || now > limit {
            return Err(Fault::Failed);
        }
        if !self.handed_over.load(Ordering::Acquire) {
            return Ok(false);
        }
        let buffered = Duration::from_micros(self.buffered_us.load(Ordering::Relaxed));
        let handed_over = *self.handed_over_at.get_or_init(|| now);
        Ok(now >= handed_over + buffered.min(LONGEST_BUFFER))
    }
}

/// Makes the callback's end and the waiting end for mono samples to be played on `channels` channels.
pub fn player(samples: Vec<f32>, channels: u16) -> (Player, Arc<Progress>) {
    let progress = Arc::new(Progress::default());
    let player = Player {
        samples,
        next: 0,
        channels: usize::from(channels.max(1)),
        progress: progress.clone(),
    };
    (player, progress)
}

/// The callback's end.
pub struct Player {
    samples: Vec<f32>,
    next: usize,
    channels: usize,
    progress: Arc<Progress>,
}

impl Player {
    /// Fills what the sound card asks for: the next samples on every channel, then silence. `buffered` is the time
    /// until it will be heard. Never waits, allocates, locks or writes.
    pub fn fill(&mut self, data: &mut Data, buffered: Duration) {
        // Nothing is left: this buffer is silence, and what came before it has been heard when its own turn comes.
        if self.next == self.samples.len() && !self.progress.handed_over.load(Ordering::Relaxed) {
            self.progress
                .buffered_us
                .store(buffered.as_micros() as u64, Ordering::Relaxed);
            self.progress.handed_over.store(true, Ordering::Release);
        }
        let frames = data.len() / self.channels;
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
            // A format of which nothing is known: it stays silent and the wait reports it.
            _ => return self.progress.failed.store(true, Ordering::Release),
        }
        self.next = self.samples.len().min(self.next + frames);
    }

    fn frames<T: SizedSample + FromSample<f32>>(&self, data: &mut Data) {
        let rest = &self.samples[self.next..];
        let frames = data
            .as_slice_mut::<T>()
            .unwrap_or_default()
            .chunks_exact_mut(self.channels);
        for (i, frame) in frames.enumerate() {
            frame.fill(T::from_sample(
                rest.get(i).copied().unwrap_or(0.0).clamp(-1.0, 1.0),
            ));
        }
    }
}
