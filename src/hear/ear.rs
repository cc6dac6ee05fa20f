//! The microphone while the program speaks: its own voice is taken out, and until somebody in the room speaks over it nothing
//! is listened to, so that it never hears itself.

use std::collections::VecDeque;

use super::SAMPLE_RATE;
use super::double_talk::DoubleTalk;
use super::echo::{Clean, EchoCanceller, FRAME};

/// What is kept back while the program speaks, 0.5 s: whoever speaks over it is known after 0.2 s, and is heard from before
/// that.
const KEPT_BACK: usize = SAMPLE_RATE as usize / 2;
/// For so long after the program has spoken its voice may still be on its way, 0.3 s …
const LATE: usize = SAMPLE_RATE as usize * 3 / 10;
/// … and what is heard in the last of that, 0.2 s, may be the beginning of an answer.
const ANSWER: usize = SAMPLE_RATE as usize / 5;
/// The quietest frame of so many (3 s) is the room.
const ROOM_FRAMES: usize = 750;

/// What listens: as many samples come out as went in, if later while the program speaks.
pub struct Ear {
    canceller: EchoCanceller,
    double_talk: DoubleTalk,
    microphone: Vec<f32>,
    sounded: Vec<f32>,
    /// While the program speaks, and shortly after: what was heard lately, without its voice.
    kept_back: VecDeque<f32>,
    /// The samples that are left of the time in which the program is heard.
    speaking: usize,
    /// Somebody speaks over it.
    spoken_over: bool,
    /// Nobody is listened to while the program speaks.
    waits: bool,
    /// The power of the last frames, for the level of the room.
    powers: VecDeque<f32>,
    noise: u32,
}

impl Ear {
    pub fn new() -> Ear {
        Ear {
            canceller: EchoCanceller::new(),
            double_talk: DoubleTalk::new(),
            microphone: Vec::new(),
            sounded: Vec::new(),
            kept_back: VecDeque::new(),
            speaking: 0,
            spoken_over: false,
            waits: false,
            powers: VecDeque::with_capacity(ROOM_FRAMES),
            noise: 1,
        }
    }

    /// Takes in what the microphone heard and, sample for sample, what went to the loudspeaker meanwhile (zeros if nothing
    /// did), both mono at [`SAMPLE_RATE`]. `speaks`: words are being sounded, no tone. Adds to `out` what is to be listened to;
    /// while the program speaks that is the sound of an empty room. True if somebody began to speak over it.
    pub fn heed(&mut self, microphone: &[f32], sounded: &[f32], speaks: bool, out: &mut Vec<f32>) -> bool {
        if speaks {
            if self.speaking == 0 {
                self.spoken_over = false;
                self.double_talk.begin();
            }
            self.speaking = LATE;
        }
        self.microphone.extend_from_slice(microphone);
        self.sounded.extend_from_slice(sounded);
        let mut spoken_over = false;
        while let (Some(microphone), Some(sounded)) = (
            self.microphone.first_chunk::<FRAME>(),
            self.sounded.first_chunk::<FRAME>(),
        ) {
            let (microphone, sounded) = (*microphone, *sounded);
            let clean = self.canceller.clean(&microphone, &sounded);
            spoken_over |= self.frame(&microphone, &clean, out);
            self.microphone.drain(..FRAME);
            self.sounded.drain(..FRAME);
        }
        spoken_over
    }

    /// From here on nobody is listened to while the program speaks: its own voice can't be told from others here.
    pub fn wait_for_silence(&mut self) {
        self.waits = true;
    }

    /// True if somebody began to speak over the program.
    fn frame(&mut self, microphone: &[f32; FRAME], clean: &Clean, out: &mut Vec<f32>) -> bool {
        if self.speaking == 0 {
            self.know_room(&clean.subtracted);
            out.extend_from_slice(&clean.subtracted);
            return false;
        }
        self.speaking = self.speaking.saturating_sub(FRAME);
        if self.spoken_over {
            out.extend_from_slice(&clean.subtracted);
            return false;
        }
        self.kept_back.extend(clean.subtracted);
        if self.double_talk.hear(microphone, &clean.suppressed) && !self.waits {
            self.spoken_over = true;
            out.extend(self.kept_back.drain(..));
            return true;
        }
        let most = match self.speaking {
            0 => ANSWER,
            _ => KEPT_BACK,
        };
        let old = self.kept_back.len().saturating_sub(most);
        self.kept_back.drain(..old);
        let level = self.room();
        for _ in 0..old {
            let noise = self.noise() * level;
            out.push(noise);
        }
        if self.speaking == 0 {
            out.extend(self.kept_back.drain(..));
        }
        false
    }

    fn know_room(&mut self, clean: &[f32; FRAME]) {
        if self.powers.len() == ROOM_FRAMES {
            self.powers.pop_front();
        }
        let power = clean.iter().map(|sample| sample * sample).sum::<f32>() / FRAME as f32;
        self.powers.push_back(power);
    }

    /// How loud the room is, as the amplitude of even noise: its root mean square is that over √3.
    fn room(&self) -> f32 {
        let power = self.powers.iter().copied().reduce(f32::min).unwrap_or_default();
        (3.0 * power).sqrt()
    }

    /// Even noise from -1 to 1 (xorshift).
    fn noise(&mut self) -> f32 {
        self.noise ^= self.noise << 13;
        self.noise ^= self.noise >> 17;
        self.noise ^= self.noise << 5;
        self.noise as f32 / (u32::MAX / 2) as f32 - 1.0
    }
}

impl Default for Ear {
    fn default() -> Ear {
        Ear::new()
    }
}
