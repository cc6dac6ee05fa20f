//! Which microphones and loudspeakers there are, by the names that the system gives them.

use cpal::traits::{DeviceTrait, HostTrait};

use super::SoundError;
use super::quiet::quietly;

pub(crate) const MICROPHONE: &str = "microphone";
pub(crate) const LOUDSPEAKER: &str = "loudspeaker";

/// A microphone or loudspeaker that can be chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SoundDevice {
    /// The name that people see and choose it by.
    pub name: String,
    /// Whether it is used when none is chosen.
    pub is_default: bool,
}

/// The microphones that answer, the default one first.
///
/// # Errors
/// The system's sound service cannot be asked. No microphone at all is an empty list.
pub fn microphones() -> Result<Vec<SoundDevice>, SoundError> {
    listed(MICROPHONE)
}

/// The loudspeakers that answer, the default one first.
///
/// # Errors
/// The system's sound service cannot be asked. No loudspeaker at all is an empty list.
pub fn loudspeakers() -> Result<Vec<SoundDevice>, SoundError> {
    listed(LOUDSPEAKER)
}

pub(crate) fn find_microphone(name: Option<&str>) -> Result<cpal::Device, SoundError> {
    find(MICROPHONE, name)?.ok_or(SoundError::NoMicrophone)
}

pub(crate) fn find_loudspeaker(name: Option<&str>) -> Result<cpal::Device, SoundError> {
    find(LOUDSPEAKER, name)?.ok_or(SoundError::NoLoudspeaker)
}

/// The name that people see.
pub(crate) fn name_of(device: &cpal::Device) -> String {
    device
        .description()
        .map(|about| about.name().to_owned())
        .unwrap_or_else(|_| "unnamed".into())
}

/// The system's own name, which stays the same when two devices look alike.
fn id_of(device: &cpal::Device) -> String {
    device.id().map(|id| id.id().to_owned()).unwrap_or_default()
}

fn listed(what: &'static str) -> Result<Vec<SoundDevice>, SoundError> {
    let default = default_of(what).map(|device| id_of(&device));
    let devices = quietly(|| answering(what))?;
    Ok(devices
        .iter()
        .map(|device| SoundDevice {
            name: name_of(device),
            is_default: Some(id_of(device)) == default,
        })
        .collect())
}

/// The named device, or the default one if no name is given. `None`: there is no default.
fn find(what: &'static str, name: Option<&str>) -> Result<Option<cpal::Device>, SoundError> {
    let Some(name) = name else {
        return Ok(default_of(what).filter(|device| answers(what, device)));
    };
    let mut devices = answering(what)?;
    let same = |device: &cpal::Device| {
        id_of(device) == name || name_of(device).to_lowercase() == name.trim().to_lowercase()
    };
    if let Some(place) = devices.iter().position(same) {
        return Ok(Some(devices.swap_remove(place)));
    }
    let known = match devices
        .iter()
        .map(|device| format!("\"{}\"", name_of(device)))
        .collect::<Vec<_>>()
    {
        names if names.is_empty() => format!("no {what} is connected"),
        names => format!("there is {}", names.join(" and ")),
    };
    Err(SoundError::NoSuchDevice {
        what,
        name: name.to_owned(),
        known,
    })
}

fn default_of(what: &str) -> Option<cpal::Device> {
    let host = cpal::default_host();
    if what == MICROPHONE {
        host.default_input_device()
    } else {
        host.default_output_device()
    }
}

/// The devices worth showing that answer when asked, the default first, none twice.
fn answering(what: &'static str) -> Result<Vec<cpal::Device>, SoundError> {
    let all = cpal::default_host()
        .devices()
        .map_err(|error| SoundError::opening(what, "any", &error))?;
    let mut found: Vec<cpal::Device> = Vec::new();
    for device in default_of(what)
        .into_iter()
        .chain(all.filter(|device| faces(what, device)))
    {
        let known = found
            .iter()
            .any(|other| id_of(other) == id_of(&device) || name_of(other) == name_of(&device));
        if !known && answers(what, &device) {
            found.push(device);
        }
    }
    Ok(found)
}

/// Whether a listed device is of this sort and means something to a person. ALSA lists every way to reach a sound
/// card; one of them (with all conversions) and the sound servers are enough.
fn faces(what: &str, device: &cpal::Device) -> bool {
    let id = id_of(device);
    let meaningful =
        !cfg!(target_os = "linux") || id.starts_with("plughw:") || id == "pulse" || id == "pipewire";
    meaningful
        && if what == MICROPHONE {
            device.supports_input()
        } else {
            device.supports_output()
        }
}

/// Whether a device can be asked for its configuration. One that is busy is there all the same.
fn answers(what: &str, device: &cpal::Device) -> bool {
    let config = if what == MICROPHONE {
        device.default_input_config()
    } else {
        device.default_output_config()
    };
    match config {
        Ok(_) => true,
        Err(error) => matches!(
            error.kind(),
            cpal::ErrorKind::DeviceBusy | cpal::ErrorKind::PermissionDenied
        ),
    }
}
