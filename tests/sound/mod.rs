//! Everything between the air and 16 kHz mono samples, and speech out.

mod capture;
#[cfg(target_os = "linux")]
mod card;
mod endpoint;
mod loudspeaker;
mod made;
mod resample;
mod voice;
mod wav;
