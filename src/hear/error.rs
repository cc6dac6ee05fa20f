//! What can go wrong between the air and the samples, in words.

use std::path::PathBuf;

/// Why sound could not be had, or could not be played.
#[derive(Debug, thiserror::Error)]
pub enum SoundError {
    #[error("there is no file {}; check its name and its folder", path.display())]
    NoFile { path: PathBuf },
    #[error("could not read {}: {source}", path.display())]
    Read { path: PathBuf, source: std::io::Error },
    #[error("could not write {}: {source}; choose another name or place", path.display())]
    Write { path: PathBuf, source: std::io::Error },
    #[error("{} is empty: it holds no recording; copy or record it again", path.display())]
    EmptyFile { path: PathBuf },
    #[error("{} is not a WAV recording; save it as WAV and try again", path.display())]
    NotWav { path: PathBuf },
    /// The file starts like a WAV file but what it says of itself makes no sense.
    #[error("{} is a WAV file with a damaged heading ({why}); copy it or save it as WAV again", path.display())]
    DamagedHeading { path: PathBuf, why: String },
    /// Compressed, or a sample width that is not 8, 16, 24 or 32 bits.
    #[error(
        "{} is a WAV file in an encoding that cannot be read here; save it as plain WAV (PCM, 16 bits) and try again",
        path.display()
    )]
    Encoding { path: PathBuf },
    #[error(
        "{} breaks off: it promises {promised_s:.1} s of sound and ends after {there_s:.1} s, so none of it was \
         used; copy or record it again",
        path.display()
    )]
    Truncated {
        path: PathBuf,
        promised_s: f64,
        there_s: f64,
    },
    #[error("{} holds no sound at all; record it again", path.display())]
    NoSamples { path: PathBuf },
    #[error(
        "{} has {channels} channels; only one (mono) or two (stereo) can be read: save it as mono and try again",
        path.display()
    )]
    TooManyChannels { path: PathBuf, channels: u16 },
    #[error(
        "{} has {rate} samples per second; only 8,000 to 96,000 can be read: save it with 16,000 or 48,000 and try \
         again",
        path.display()
    )]
    Rate { path: PathBuf, rate: u32 },
    #[error(
        "{} is damaged at {at_s:.2} s: a sample there is not a number, so none of it was used; save it again",
        path.display()
    )]
    NotANumber { path: PathBuf, at_s: f64 },
    /// Converting between sample rates failed; both in samples per second.
    #[error("the sound could not be converted from {from} to {to} samples per second: {why}")]
    Conversion { from: u32, to: u32, why: String },
    #[error(
        "no microphone was found; plug one in, and see that the system's sound settings show it and that it is not \
         switched off there"
    )]
    NoMicrophone,
    #[error(
        "no loudspeaker was found; plug one in or connect headphones, and see that the system's sound settings show \
         it"
    )]
    NoLoudspeaker,
    /// `known` lists the names that would do.
    #[error("there is no {what} called \"{name}\"; {known}")]
    NoSuchDevice {
        what: &'static str,
        name: String,
        known: String,
    },
    #[error("the {what} \"{name}\" is in use by another program; close that program and try again")]
    Busy { what: &'static str, name: String },
    #[error(
        "this program may not use the {what} \"{name}\"; allow it in the system's privacy or sound settings and try \
         again"
    )]
    Denied { what: &'static str, name: String },
    #[error("the {what} \"{name}\" could not be started: {why}; unplug it, plug it in again and try again")]
    NotStarted {
        what: &'static str,
        name: String,
        why: String,
    },
    #[error("the {what} \"{name}\" was unplugged or switched off; plug it in again, then go on")]
    Unplugged { what: &'static str, name: String },
    #[error("the {what} \"{name}\" stopped working; unplug it, plug it in again, then go on")]
    Failed { what: &'static str, name: String },
}

impl SoundError {
    /// Says what an error of the sound library means for a device; `what` is "microphone" or "loudspeaker".
    pub(crate) fn opening(what: &'static str, name: &str, error: &cpal::Error) -> Self {
        let name = name.to_owned();
        match error.kind() {
            cpal::ErrorKind::DeviceBusy => Self::Busy { what, name },
            cpal::ErrorKind::PermissionDenied => Self::Denied { what, name },
            _ => Self::NotStarted {
                what,
                name,
                why: error.to_string(),
            },
        }
    }
}
