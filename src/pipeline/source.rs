//! Where the sound comes from.

use std::time::{Duration, Instant};

use crate::hear::{Microphone, SAMPLE_RATE, SoundError};

/// Sound as it comes in: 16 kHz mono.
pub trait Source {
    /// Adds what came in since the last call to `out` and says how many samples; does not wait. `None`: nothing more comes.
    ///
    /// # Errors
    /// The microphone was unplugged or failed. What it delivered before that is read first.
    fn read(&mut self, out: &mut Vec<f32>) -> Result<Option<usize>, SoundError>;

    /// Whether it is in the room with the loudspeaker.
    fn hears_the_room(&self) -> bool;

    /// How many samples were lost so far because they were not read in time.
    fn dropped(&self) -> u64;

    /// Tries to get it back after a fault.
    ///
    /// # Errors
    /// It is not back yet.
    fn reopen(&mut self) -> Result<(), SoundError>;
}

impl Source for Microphone {
    fn read(&mut self, out: &mut Vec<f32>) -> Result<Option<usize>, SoundError> {
        Microphone::read(self, out).map(Some)
    }

    fn hears_the_room(&self) -> bool {
        true
    }

    fn dropped(&self) -> u64 {
        Microphone::dropped(self)
    }

    fn reopen(&mut self) -> Result<(), SoundError> {
        Microphone::reopen(self)
    }
}

/// A recording, at the speed at which it was spoken.
pub struct Paced<'a> {
    samples: &'a [f32],
    given: usize,
    began: Option<Instant>,
}

impl<'a> Paced<'a> {
    /// It begins when it is first read.
    pub fn new(samples: &'a [f32]) -> Paced<'a> {
        Paced {
            samples,
            given: 0,
            began: None,
        }
    }

    fn due(&self, after: Duration) -> usize {
        let due = (after.as_secs_f64() * f64::from(SAMPLE_RATE)) as usize;
        due.min(self.samples.len())
    }
}

impl Source for Paced<'_> {
    fn read(&mut self, out: &mut Vec<f32>) -> Result<Option<usize>, SoundError> {
        let began = *self.began.get_or_insert_with(Instant::now);
        if self.given == self.samples.len() {
            return Ok(None);
        }
        let due = &self.samples[self.given..self.due(began.elapsed())];
        out.extend_from_slice(due);
        self.given += due.len();
        Ok(Some(due.len()))
    }

    /// It was made in another room: what is said now is not in it.
    fn hears_the_room(&self) -> bool {
        false
    }

    fn dropped(&self) -> u64 {
        0
    }

    fn reopen(&mut self) -> Result<(), SoundError> {
        Ok(())
    }
}
