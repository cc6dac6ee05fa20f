//! Listens to a microphone until somebody stops it.

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use super::listener::{Listener, Scribe};
use crate::error::Result;
use crate::hear::SoundError;

/// How long to sleep when no sound has come in: 20 ms.
const PIECE: Duration = Duration::from_millis(20);

/// Takes in what `read` adds to a buffer, until `stop` is set or `read` fails. What was said before either is still
/// heard and taken down.
///
/// # Errors
/// Those of `read`, once everything before has been taken down; those of the recogniser and of the scribe.
pub fn follow(
    listener: &mut Listener,
    mut read: impl FnMut(&mut Vec<f32>) -> std::result::Result<usize, SoundError>,
    stop: &AtomicBool,
    scribe: &mut impl Scribe,
) -> Result<()> {
    let mut sound = Vec::new();
    let mut fault = None;
    while !stop.load(Ordering::Relaxed) {
        sound.clear();
        match read(&mut sound) {
            Ok(0) => std::thread::sleep(PIECE),
            Ok(_) => listener.push(&sound),
            Err(error) => {
                fault = Some(error);
                break;
            }
        }
        while let Some(heard) = listener.next(scribe.interpreter())? {
            if scribe.take(&heard)? {
                // The program does not listen to itself: what came in while it spoke is thrown away. A fault stays
                // said.
                let _ = read(&mut sound);
                listener.restart();
                break;
            }
        }
    }
    listener.finish();
    listener.hand_over(scribe)?;
    fault.map_or(Ok(()), |error| Err(error.into()))
}
