//! The microphone.

use cpal::SupportedStreamConfig;
use cpal::traits::{DeviceTrait, StreamTrait};

use super::SoundError;
use super::closing::OpenStream;
use super::devices::{self, MICROPHONE};
use super::feed::{Feed, Intake, feed};
use super::quiet::quietly;

/// An open microphone. It listens until it is dropped.
pub struct Microphone {
    intake: Intake,
    /// The name that it was asked for by.
    wanted: Option<String>,
    /// Frames lost before it was opened again.
    dropped: u64,
    _stream: OpenStream,
}

impl Microphone {
    /// Opens the microphone with this name, as `couchside devices` lists it, or the system's default one.
    ///
    /// # Errors
    /// There is none, none of that name, or it cannot be opened.
    pub fn open(name: Option<&str>) -> Result<Self, SoundError> {
        let wanted = name.map(str::to_string);
        quietly(|| {
            let device = devices::find_microphone(name)?;
            let name = devices::name_of(&device);
            let failed = |error: cpal::Error| SoundError::opening(MICROPHONE, &name, &error);
            let config = usable_config(&device).map_err(failed)?;
            let (mut ring, faults, intake) = feed(&name, config.channels(), config.sample_rate())?;
            let stream = device
                .build_input_stream_raw(
                    config.config(),
                    config.sample_format(),
                    move |data, _| ring.take(data),
                    move |error| faults.take(&error),
                    None,
                )
                .map_err(failed)?;
            stream.play().map_err(failed)?;
            Ok(Microphone {
                intake,
                wanted,
                dropped: 0,
                _stream: OpenStream::new(stream),
            })
        })
    }

    /// Adds what was heard since the last call to `out`, as mono samples at [`super::SAMPLE_RATE`], and says how
    /// many. Does not wait: call it every 10 to 20 ms, and at least every two seconds.
    ///
    /// # Errors
    /// The microphone was unplugged or failed. What it delivered before that is read first.
    pub fn read(&mut self, out: &mut Vec<f32>) -> Result<usize, SoundError> {
        self.intake.read(out)
    }

    /// How many of the device's frames were lost so far because they were not read in time.
    pub fn dropped(&self) -> u64 {
        self.dropped + self.intake.dropped()
    }

    /// Opens it again after it was unplugged or failed: by the name that it was asked for by.
    ///
    /// # Errors
    /// As for [`Microphone::open`].
    pub fn reopen(&mut self) -> Result<(), SoundError> {
        let again = Microphone::open(self.wanted.as_deref())?;
        *self = Microphone {
            dropped: self.dropped(),
            ..again
        };
        Ok(())
    }
}

/// The device's preferred configuration or, if that is of a sort that cannot be converted, another.
fn usable_config(device: &cpal::Device) -> Result<SupportedStreamConfig, cpal::Error> {
    let preferred = device.default_input_config()?;
    if Feed::understands(preferred.sample_format()) {
        return Ok(preferred);
    }
    device
        .supported_input_configs()?
        .filter(|range| Feed::understands(range.sample_format()))
        .max_by(|a, b| a.cmp_default_heuristics(b))
        .map(|range| {
            range
                .try_with_standard_sample_rate()
                .unwrap_or_else(|| range.with_max_sample_rate())
        })
        .ok_or_else(|| cpal::Error::new(cpal::ErrorKind::UnsupportedConfig))
}
