//! The loudspeaker.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Duration, Instant};

use cpal::traits::{DeviceTrait, StreamTrait};
use cpal::{Data, ErrorKind, FromSample, SampleFormat, SizedSample};
use rtrb::{Consumer, Producer, RingBuffer};

use crate::hear::devices::{self, LOUDSPEAKER};
use crate::hear::quiet::quietly;
use crate::hear::{OpenStream, SAMPLE_RATE, SoundError, resample};

/// Seconds of sound that are handed over at once at most.
pub(super) const MOST_S: usize = 30;
/// How much longer than the sound itself playing may take before the loudspeaker counts as failed.
const PATIENCE: Duration = Duration::from_secs(5);
/// The longest that is waited for a device to sound what it has already taken.
const LONGEST_BUFFER: Duration = Duration::from_secs(1);

/// An open loudspeaker. It sounds silence between one sound and the next, so that its sound takes the same time to the ear
/// always, which whoever takes it out of what the microphone hears relies on.
pub struct Loudspeaker {
    line: Line,
    rate: u32,
    name: String,
    _stream: OpenStream,
}

impl Loudspeaker {
    /// Opens the loudspeaker with this name, as `couchside devices` lists it, or the system's default one.
    ///
    /// # Errors
    /// There is none, none of that name, or it cannot be started.
    pub fn open(name: Option<&str>) -> Result<Self, SoundError> {
        quietly(|| {
            let device = devices::find_loudspeaker(name)?;
            let name = devices::name_of(&device);
            let failed = |error: cpal::Error| SoundError::opening(LOUDSPEAKER, &name, &error);
            let config = device.default_output_config().map_err(failed)?;
            let rate = config.sample_rate();
            let (mut player, line) = player(rate as usize * MOST_S, config.channels());
            let faults = line.shared.clone();
            let stream = device
                .build_output_stream_raw(
                    config.config(),
                    config.sample_format(),
                    move |data, info| {
                        let time = info.timestamp();
                        player.fill(data, time.playback.saturating_duration_since(time.callback));
                    },
                    move |error| faults.fault(&error),
                    None,
                )
                .map_err(failed)?;
            stream.play().map_err(failed)?;
            Ok(Loudspeaker {
                line,
                rate,
                name,
                _stream: OpenStream::new(stream),
            })
        })
    }

    /// Begins to sound mono samples at [`SAMPLE_RATE`], no more than [`MOST_S`]. What was being sounded must be over.
    ///
    /// # Errors
    /// The sample rates cannot be converted.
    pub fn begin(&mut self, samples: &[f32]) -> Result<(), SoundError> {
        let samples = resample(samples, SAMPLE_RATE, self.rate)?;
        let lasts = Duration::from_secs_f64(samples.len() as f64 / f64::from(self.rate));
        self.line.begin(&samples, Instant::now() + lasts + PATIENCE);
        Ok(())
    }

    /// Stops what is being sounded at once.
    pub fn hush(&mut self) {
        self.line.hush();
    }

    /// Whether everything has been heard.
    ///
    /// # Errors
    /// The loudspeaker was unplugged, or stands still.
    pub fn is_over(&mut self) -> Result<bool, SoundError> {
        let (what, name) = (LOUDSPEAKER, self.name.clone());
        self.line.is_over().map_err(|fault| match fault {
            Fault::Unplugged => SoundError::Unplugged { what, name },
            Fault::Failed => SoundError::Failed { what, name },
        })
    }

    /// How long the device has been sounding, silence included, in samples at [`SAMPLE_RATE`].
    pub fn sounded(&self) -> u64 {
        self.at_16_khz(self.line.shared.frames.load(Ordering::Acquire))
    }

    /// Where in that time the sound that was begun last did begin; `None` as long as it has not.
    pub fn began(&self) -> Option<u64> {
        let began = self.line.shared.began.load(Ordering::Acquire);
        (began != NOT_YET).then(|| self.at_16_khz(began))
    }

    fn at_16_khz(&self, frames: u64) -> u64 {
        frames * u64::from(SAMPLE_RATE) / u64::from(self.rate)
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

const NOT_YET: u64 = u64::MAX;

/// What both ends see. Only atomics: the callback may not lock.
pub struct Shared {
    /// Frames that were handed to the device, silence included.
    frames: AtomicU64,
    /// Of these, those before the sound that was begun last.
    began: AtomicU64,
    /// Microseconds from handing over a sample to hearing it.
    buffered_us: AtomicU64,
    /// What is in the ring is not to be sounded.
    hush: AtomicBool,
    unplugged: AtomicBool,
    failed: AtomicBool,
}

impl Shared {
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
}

/// The end that gives sound.
pub struct Line {
    ring: Producer<f32>,
    shared: Arc<Shared>,
    /// When the sound that is being played must be over.
    limit: Option<Instant>,
    /// When it was first seen that all of it is handed over.
    handed_over: Option<Instant>,
}

impl Line {
    /// Gives mono samples at the device's rate, to be sounded by then.
    pub fn begin(&mut self, samples: &[f32], limit: Instant) {
        self.shared.began.store(NOT_YET, Ordering::Release);
        self.limit = Some(limit);
        self.handed_over = None;
        for sample in samples.iter().take(self.ring.slots()) {
            // There is room for so many.
            let _ = self.ring.push(*sample);
        }
    }

    /// What was given is not to be sounded to its end.
    pub fn hush(&mut self) {
        if self.limit.is_some() {
            self.shared.hush.store(true, Ordering::Release);
        }
    }

    /// Whether everything has been heard.
    ///
    /// # Errors
    /// A fault that was reported, or the time has passed.
    pub fn is_over(&mut self) -> Result<bool, Fault> {
        if self.shared.unplugged.load(Ordering::Acquire) {
            return Err(Fault::Unplugged);
        }
        let now = Instant::now();
        let late = self.limit.is_some_and(|limit| now > limit);
        if self.shared.failed.load(Ordering::Acquire) || late {
            return Err(Fault::Failed);
        }
        let in_the_ring = self.ring.slots() < self.ring.buffer().capacity();
        if in_the_ring || self.shared.hush.load(Ordering::Acquire) {
            return Ok(false);
        }
        let buffered = Duration::from_micros(self.shared.buffered_us.load(Ordering::Relaxed));
        let handed_over = *self.handed_over.get_or_insert(now);
        let over = self.limit.is_none() || now >= handed_over + buffered.min(LONGEST_BUFFER);
        if over {
            self.limit = None;
        }
        Ok(over)
    }

    /// What the callbacks see too.
    pub fn shared(&self) -> &Shared {
        &self.shared
    }
}

/// Makes the callback's end and the giving end, for so many mono samples at once, to be played on `channels` channels.
pub fn player(most: usize, channels: u16) -> (Player, Line) {
    let (producer, consumer) = RingBuffer::new(most);
    let shared = Arc::new(Shared {
        frames: AtomicU64::new(0),
        began: AtomicU64::new(NOT_YET),
        buffered_us: AtomicU64::new(0),
        hush: AtomicBool::new(false),
        unplugged: AtomicBool::new(false),
        failed: AtomicBool::new(false),
    });
    let player = Player {
        ring: consumer,
        channels: usize::from(channels.max(1)),
        shared: shared.clone(),
    };
    let line = Line {
        ring: producer,
        shared,
        limit: None,
        handed_over: None,
    };
    (player, line)
}

/// The callback's end.
pub struct Player {
    ring: Consumer<f32>,
    channels: usize,
    shared: Arc<Shared>,
}

impl Player {
    /// Fills what the sound card asks for: the next samples on every channel, then silence. `buffered` is the time
    /// until it will be heard. Never waits, allocates, locks or writes.
    pub fn fill(&mut self, data: &mut Data, buffered: Duration) {
        if self.shared.hush.load(Ordering::Acquire) {
            while self.ring.pop().is_ok() {}
            self.shared.hush.store(false, Ordering::Release);
        }
        let frames = self.shared.frames.load(Ordering::Relaxed);
        if !self.ring.is_empty() && self.shared.began.load(Ordering::Acquire) == NOT_YET {
            self.shared.began.store(frames, Ordering::Release);
        }
        self.shared
            .buffered_us
            .store(buffered.as_micros() as u64, Ordering::Relaxed);
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
            // A format of which nothing is known: it stays silent and that is reported.
            _ => self.shared.failed.store(true, Ordering::Release),
        }
        let filled = (data.len() / self.channels) as u64;
        self.shared.frames.store(frames + filled, Ordering::Release);
    }

    fn frames<T: SizedSample + FromSample<f32>>(&mut self, data: &mut Data) {
        let frames = data
            .as_slice_mut::<T>()
            .unwrap_or_default()
            .chunks_exact_mut(self.channels);
        for frame in frames {
            let sample = self.ring.pop().unwrap_or(0.0);
            frame.fill(T::from_sample(sample.clamp(-1.0, 1.0)));
        }
    }
}
