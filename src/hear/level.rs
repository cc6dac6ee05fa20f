//! Whether a microphone is set well, told by the level of what comes in.

use super::SAMPLE_RATE;

/// The level is taken of so many samples at a time: 20 ms.
const PIECE: usize = SAMPLE_RATE as usize / 50;
/// No piece of so many (15 s) reaches [`FAINT_DBFS`]: speech into a microphone that is on and not covered is 20 dB above it.
const FAINT_PIECES: usize = 750;
const FAINT_DBFS: f32 = -55.0;
/// Sound is cut off at full scale in so many pieces (0.3 s) of the last 10 s.
const CUT_OFF_PIECES: usize = 15;
const LAST: usize = 500;
/// Full scale, as far as converting between sample rates leaves it.
const FULL_SCALE: f32 = 0.985;

/// What is wrong with the level.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LevelFault {
    /// Hardly anything is heard.
    Faint,
    /// It is so loud that it is cut off.
    CutOff,
}

/// Measures what comes in.
#[derive(Default)]
pub struct Level {
    piece: Vec<f32>,
    /// Pieces since one was loud enough.
    faint: usize,
    /// Which of the last pieces were cut off.
    cut_off: std::collections::VecDeque<bool>,
    told: Option<LevelFault>,
}

impl Level {
    /// Somebody was heard well: a fault that comes after this is told.
    pub fn was_right(&mut self) {
        self.told = None;
        self.faint = 0;
    }

    /// Takes in sound, mono at [`SAMPLE_RATE`]. A fault is told once, see [`Level::was_right`].
    pub fn take(&mut self, samples: &[f32]) -> Option<LevelFault> {
        self.piece.extend_from_slice(samples);
        let mut fault = None;
        while self.piece.len() >= PIECE {
            let piece: Vec<f32> = self.piece.drain(..PIECE).collect();
            fault = self.piece(&piece).or(fault);
        }
        fault
    }

    fn piece(&mut self, piece: &[f32]) -> Option<LevelFault> {
        let power = piece.iter().map(|sample| sample * sample).sum::<f32>() / PIECE as f32;
        self.faint = match 10.0 * power.log10() >= FAINT_DBFS {
            true => 0,
            false => self.faint + 1,
        };
        if self.cut_off.len() == LAST {
            self.cut_off.pop_front();
        }
        self.cut_off
            .push_back(piece.iter().any(|sample| sample.abs() >= FULL_SCALE));
        let cut_off = self.cut_off.iter().filter(|cut_off| **cut_off).count();
        let now = match () {
            () if self.faint >= FAINT_PIECES => Some(LevelFault::Faint),
            () if cut_off >= CUT_OFF_PIECES => Some(LevelFault::CutOff),
            () => None,
        };
        let fresh = now.filter(|_| self.told.is_none());
        self.told = self.told.or(fresh);
        fresh
    }
}
