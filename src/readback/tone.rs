//! Short tones that say what became of an utterance, for somebody who does not look: each has a rhythm and a course of its
//! own, so that it is known without an ear for pitch.

use crate::hear::SAMPLE_RATE;

/// What a tone says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// A finding was heard and waits.
    Heard,
    /// What waited is recorded.
    Recorded,
    /// What waited last was dropped.
    Dropped,
    /// Something is asked.
    Asked,
    /// It was not understood.
    NotUnderstood,
    /// It listens no more, until it is told to.
    NotListening,
    /// It listens again.
    Listening,
    /// Something must be known, whatever was chosen: words follow.
    Notice,
}

/// A note: its pitch in hertz, how long it sounds, and how long it is quiet after it, both in milliseconds.
type Note = (f32, u32, u32);

impl Tone {
    /// Every tone.
    pub const ALL: [Tone; 8] = [
        Tone::Heard,
        Tone::Recorded,
        Tone::Dropped,
        Tone::Asked,
        Tone::NotUnderstood,
        Tone::NotListening,
        Tone::Listening,
        Tone::Notice,
    ];

    /// Its notes. All lie where a small loudspeaker sounds well and most hearing loss has not begun, 260 to 1,050 Hz.
    pub fn notes(self) -> &'static [Note] {
        match self {
            // One short note: nothing has happened yet.
            Tone::Heard => &[(659.0, 70, 0)],
            // Up, and it stays there.
            Tone::Recorded => &[(659.0, 70, 10), (988.0, 160, 0)],
            // Down, quickly.
            Tone::Dropped => &[(784.0, 60, 10), (523.0, 60, 0)],
            // Twice the same and up, as a question ends.
            Tone::Asked => &[(784.0, 60, 60), (784.0, 60, 60), (1047.0, 120, 0)],
            // Twice the same, low.
            Tone::NotUnderstood => &[(330.0, 140, 70), (330.0, 140, 0)],
            // Long and down.
            Tone::NotListening => &[(523.0, 120, 0), (392.0, 120, 0), (262.0, 300, 0)],
            // Long and up.
            Tone::Listening => &[(262.0, 120, 0), (392.0, 120, 0), (523.0, 300, 0)],
            // High and low in turn, as nothing else is.
            Tone::Notice => &[(880.0, 90, 0), (587.0, 90, 0), (880.0, 90, 0), (587.0, 90, 120)],
        }
    }

    /// Its sound, mono at [`SAMPLE_RATE`], its loudest at `level_db` of full scale (0 and below).
    pub fn sound(self, level_db: f32) -> Vec<f32> {
        sound(self.notes(), level_db)
    }
}

/// A note for each second that a contraction is held, and a higher one at its end.
pub fn count(seconds: u32, level_db: f32) -> Vec<f32> {
    let ticks = std::iter::repeat_n((523.0, 80, 920), seconds as usize);
    sound(&ticks.chain([(784.0, 200, 0)]).collect::<Vec<Note>>(), level_db)
}

/// The rise and the fall of a note, in seconds: too slow to click, and the fall slow enough to be no beep.
const RISE_S: f32 = 0.008;
const FALL_S: f32 = 0.035;
/// How strong the octave above sounds, as a share: a pure sine is hard to place in a room.
const OCTAVE: f32 = 0.25;

fn sound(notes: &[Note], level_db: f32) -> Vec<f32> {
    let samples = |ms: u32| (ms * SAMPLE_RATE / 1000) as usize;
    let loudest = 10_f32.powf(level_db.min(0.0) / 20.0) / (1.0 + OCTAVE);
    let mut sound = Vec::new();
    for &(hertz, sounds_ms, quiet_ms) in notes {
        let count = samples(sounds_ms);
        let at = |sample: usize| sample as f32 / SAMPLE_RATE as f32;
        sound.extend((0..count).map(|sample| {
            let turn = std::f32::consts::TAU * hertz * at(sample);
            let edge = (at(sample) / RISE_S).min(at(count - sample) / FALL_S).min(1.0);
            // Half a cosine from 0 to 1.
            let shape = 0.5 - 0.5 * (std::f32::consts::PI * edge).cos();
            loudest * shape * (turn.sin() + OCTAVE * (2.0 * turn).sin())
        }));
        sound.resize(sound.len() + samples(quiet_ms), 0.0);
    }
    sound
}
