//! `couchside devices`: which microphones and loudspeakers can be used.

use crate::error::Result;
use crate::hear::SoundError;
use crate::hear::devices::{SoundDevice, loudspeakers, microphones};

/// Lists the microphones and loudspeakers. Without any microphone that is an error: nothing can be dictated.
pub fn run() -> Result<()> {
    let microphones = microphones()?;
    let loudspeakers = loudspeakers()?;
    if !microphones.is_empty() {
        println!("Microphones\n{}", lines(&microphones));
    }
    if loudspeakers.is_empty() {
        println!("Loudspeakers\n  none: findings are said back on the screen instead");
    } else {
        println!("Loudspeakers\n{}", lines(&loudspeakers));
    }
    if microphones.is_empty() {
        return Err(SoundError::NoMicrophone.into());
    }
    Ok(())
}

fn lines(devices: &[SoundDevice]) -> String {
    let line = |device: &SoundDevice| {
        format!(
            "  {}{}",
            device.name,
            if device.is_default {
                " (used unless another is chosen)"
            } else {
                ""
            }
        )
    };
    devices.iter().map(line).collect::<Vec<_>>().join("\n")
}
