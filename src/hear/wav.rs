//! Recorded sound: WAV files.

use std::fs::File;
use std::io::{self, BufReader, BufWriter, Read};
use std::path::Path;

use hound::{SampleFormat, WavReader, WavSpec, WavWriter};

use super::{Resampler, SAMPLE_RATE, SoundError};

/// Frames handed on at a time. The memory taken follows what is read, never what the heading says.
const BATCH: usize = 4096;

/// Reads a WAV file as mono samples at [`SAMPLE_RATE`], full scale being ±1.
///
/// Takes mono and stereo (the mean of both), 8,000 to 96,000 samples per second, whole numbers of 8, 16, 24 or 32
/// bits and 32-bit floats.
///
/// # Errors
/// In words, for anything else; a file that breaks off is an error, not a shorter recording.
pub fn read_wav(path: &Path) -> Result<Vec<f32>, SoundError> {
    let file = File::open(path).map_err(|source| match source.kind() {
        io::ErrorKind::NotFound => SoundError::NoFile { path: path.into() },
        _ => SoundError::Read {
            path: path.into(),
            source,
        },
    })?;
    let data = file.metadata().map_err(|source| SoundError::Read {
        path: path.into(),
        source,
    })?;
    if data.is_file() && data.len() == 0 {
        return Err(SoundError::EmptyFile { path: path.into() });
    }
    let recording = Recording::open(BufReader::new(file), path)?;
    let mut resampler = Resampler::new(recording.rate(), SAMPLE_RATE)?;
    let mut samples = Vec::new();
    recording.each_batch(|batch| resampler.push(batch, &mut samples))?;
    resampler.finish(&mut samples)?;
    Ok(samples)
}

/// A WAV stream whose heading has been read and found usable.
pub(crate) struct Recording<'a, R> {
    wav: WavReader<R>,
    /// Named in errors.
    path: &'a Path,
}

impl<'a, R: Read> Recording<'a, R> {
    /// Reads the heading.
    pub(crate) fn open(reader: R, path: &'a Path) -> Result<Self, SoundError> {
        let wav = WavReader::new(reader).map_err(|error| heading_error(error, path))?;
        let spec = wav.spec();
        let path_buf = || path.to_path_buf();
        if spec.channels > 2 {
            return Err(SoundError::TooManyChannels {
                path: path_buf(),
                channels: spec.channels,
            });
        }
        if !(8_000..=96_000).contains(&spec.sample_rate) {
            return Err(SoundError::Rate {
                path: path_buf(),
                rate: spec.sample_rate,
            });
        }
        if !matches!(
            (spec.sample_format, spec.bits_per_sample),
            (SampleFormat::Int, 8 | 16 | 24 | 32) | (SampleFormat::Float, 32)
        ) {
            return Err(SoundError::Encoding { path: path_buf() });
        }
        if wav.len() == 0 {
            return Err(SoundError::NoSamples { path: path_buf() });
        }
        Ok(Recording { wav, path })
    }

    /// Samples per second.
    pub(crate) fn rate(&self) -> u32 {
        self.wav.spec().sample_rate
    }

    /// Reads all of the sound, mixed to mono, a batch at a time.
    pub(crate) fn each_batch(
        mut self,
        take: impl FnMut(&[f32]) -> Result<(), SoundError>,
    ) -> Result<(), SoundError> {
        match self.wav.spec().sample_format {
            // Beyond full scale a float is clipped, as it would be when played; what is no number stays none.
            SampleFormat::Float => self.batches(
                |sample: f32| {
                    if sample.is_finite() {
                        sample.clamp(-1.0, 1.0)
                    } else {
                        f32::NAN
                    }
                },
                take,
            ),
            SampleFormat::Int => {
                // The library has already made 8-bit samples, stored from 0 to 255, signed.
                let full_scale = (1_i64 << (self.wav.spec().bits_per_sample - 1)) as f32;
                self.batches(|sample: i32| sample as f32 / full_scale, take)
            }
        }
    }

    fn batches<S: hound::Sample>(
        &mut self,
        level: impl Fn(S) -> f32,
        mut take: impl FnMut(&[f32]) -> Result<(), SoundError>,
    ) -> Result<(), SoundError> {
        let (path, spec, promised) = (self.path, self.wav.spec(), self.wav.duration());
        let seconds = |frames: u64| frames as f64 / f64::from(spec.sample_rate);
        let mut samples = self.wav.samples::<S>();
        let mut batch = Vec::with_capacity(BATCH);
        for frame in 0..u64::from(promised) {
            let mut sum = 0.0;
            for _ in 0..spec.channels {
                sum += match samples.next() {
                    Some(Ok(sample)) => level(sample),
                    Some(Err(hound::Error::IoError(source))) if !is_end(&source) => {
                        return Err(SoundError::Read {
                            path: path.into(),
                            source,
                        });
                    }
                    Some(Err(hound::Error::IoError(_))) | None => {
                        return Err(SoundError::Truncated {
                            path: path.into(),
                            promised_s: seconds(u64::from(promised)),
                            there_s: seconds(frame),
                        });
                    }
                    Some(Err(_)) => return Err(SoundError::Encoding { path: path.into() }),
                };
            }
            if !sum.is_finite() {
                return Err(SoundError::NotANumber {
                    path: path.into(),
                    at_s: seconds(frame),
                });
            }
            batch.push(sum / f32::from(spec.channels));
            if batch.len() == BATCH {
                take(&batch)?;
                batch.clear();
            }
        }
        take(&batch)
    }
}

/// Whether a read failed because the file had no more bytes: hound reports that as an error of no special kind.
fn is_end(error: &io::Error) -> bool {
    matches!(error.kind(), io::ErrorKind::Other | io::ErrorKind::UnexpectedEof)
}

fn heading_error(error: hound::Error, path: &Path) -> SoundError {
    let path = path.to_path_buf();
    match error {
        hound::Error::FormatError("no RIFF tag found" | "no WAVE tag found") => SoundError::NotWav { path },
        hound::Error::FormatError(why) => SoundError::DamagedHeading {
            path,
            why: why.into(),
        },
        hound::Error::IoError(error) if is_end(&error) => SoundError::DamagedHeading {
            path,
            why: "it ends before any sound".into(),
        },
        hound::Error::IoError(source) => SoundError::Read { path, source },
        _ => SoundError::Encoding { path },
    }
}

/// Writes mono samples at [`SAMPLE_RATE`](super::SAMPLE_RATE) into a WAV file of 16 bits, which must not be there yet.
///
/// # Errors
/// There is a file of that name, or it can't be written.
pub fn write_wav(path: &Path, samples: &[f32]) -> Result<(), SoundError> {
    let failed = |source| SoundError::Write {
        path: path.to_owned(),
        source,
    };
    let spec = WavSpec {
        channels: 1,
        sample_rate: super::SAMPLE_RATE,
        bits_per_sample: 16,
        sample_format: SampleFormat::Int,
    };
    let file = File::options()
        .write(true)
        .create_new(true)
        .open(path)
        .map_err(failed)?;
    let written = WavWriter::new(BufWriter::new(file), spec).and_then(|mut writer| {
        for sample in samples {
            writer.write_sample((sample.clamp(-1.0, 1.0) * 32_767.0) as i16)?;
        }
        writer.finalize()
    });
    written.map_err(|error| match error {
        hound::Error::IoError(source) => failed(source),
        other => failed(std::io::Error::other(other)),
    })
}
