//! Everything between the air and 16 kHz mono samples, and speech out.

pub(crate) mod capture;
#[cfg(target_os = "linux")]
mod card;
mod endpoint;
mod level;
mod loudspeaker;
pub(crate) mod made;
mod pauses;
mod resample;
pub(crate) mod server;
mod tones;
mod voice;
mod wav;
mod way_in;
