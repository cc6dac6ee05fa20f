//! Listens until somebody stops it or the sound is over, and answers.

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use super::key::{Key, Turn};
use super::listener::{Listener, Scribe};
use super::session::{Notice, Session};
use super::source::Source;
use crate::error::Result;
use crate::hear::{Ear, Heard, Level, LevelFault, SAMPLE_RATE, SoundError};
use crate::readback::Sounding;

/// How long to sleep when no sound has come in: 20 ms.
const PIECE: Duration = Duration::from_millis(20);
/// A microphone that delivers nothing for so long is not there any more, whatever the system says.
const STALLED: Duration = Duration::from_secs(3);
/// How often a microphone that is gone is looked for.
const LOOK_AGAIN: Duration = Duration::from_secs(1);

/// Takes in what comes from `source`, until `stop` is set or nothing more comes. What was said before is still heard and taken
/// down, and the last answer is sounded to its end. A microphone that goes away is waited for.
///
/// # Errors
/// Those of the recogniser and of the session.
pub fn follow(
    listener: &mut Listener,
    source: &mut impl Source,
    stop: &AtomicBool,
    session: &mut Session<'_>,
    key: &mut Key,
) -> Result<()> {
    let mut room = Room::new();
    let mut sound = Vec::new();
    let mut delivered = Instant::now();
    while !stop.load(Ordering::Relaxed) {
        sound.clear();
        let sounding = session.sounding()?;
        while let Some(turn) = key.turn() {
            room.turn(turn, key, session)?;
        }
        session.heed_hands()?;
        let read = source.read(&mut sound);
        let stalled = source.hears_the_room() && delivered.elapsed() > STALLED;
        match read {
            Ok(None) => break,
            Ok(Some(0)) if stalled => {
                lost(listener, source, stop, session, None)?;
                delivered = Instant::now();
            }
            Ok(Some(0)) => std::thread::sleep(PIECE),
            Ok(Some(_)) => {
                delivered = Instant::now();
                room.take(&sound, sounding, source, listener, session)?;
            }
            Err(fault) => {
                lost(listener, source, stop, session, Some(fault))?;
                delivered = Instant::now();
            }
        }
        while let Some(mut heard) = listener.next(session.interpreter())? {
            heard.over_voice = room.spoke_during(&heard);
            if !heard.over_voice {
                room.level.was_right();
            }
            heard.let_in = room.was_open(&heard);
            session.take(&heard)?;
            if heard.let_in && session.took_dictation() && key.used() {
                room.close();
            }
            listener.stand_by(session.is_standing_by());
            if session.hears_itself() {
                room.ear.wait_for_silence();
            }
        }
    }
    listener.flush(session)?;
    while session.sounding()? != Sounding::Nothing && !stop.load(Ordering::Relaxed) {
        std::thread::sleep(PIECE);
    }
    Ok(())
}

/// What is known of the sound so far.
struct Room {
    ear: Ear,
    level: Level,
    /// Samples that came in.
    taken: usize,
    /// Where in the sound the program spoke: from and to, in samples.
    spoke: Vec<(usize, usize)>,
    /// Where in the sound the key let dictation in; the last may go on.
    open: Vec<(usize, Option<usize>)>,
    dropped: u64,
    sounded: Vec<f32>,
    clean: Vec<f32>,
}

/// Where the program spoke is forgotten after so many samples (a minute): no utterance is so long.
const REMEMBERED: usize = 60 * SAMPLE_RATE as usize;

/// How loud the room is, is shown this often, in samples (a tenth of a second).
const LEVEL_EVERY: usize = SAMPLE_RATE as usize / 10;

/// Mean power in dB of full scale; nothing at all is -100.
fn level_db(sound: &[f32]) -> f32 {
    let power = sound.iter().map(|sample| sample * sample).sum::<f32>() / sound.len().max(1) as f32;
    10.0 * power.max(1e-10).log10()
}

/// Where in the sound a moment is.
fn samples(seconds: f64) -> usize {
    (seconds * f64::from(SAMPLE_RATE)) as usize
}

/// The key may be pressed so many seconds after the first word.
const LATE_S: f64 = 0.5;

impl Room {
    fn new() -> Room {
        Room {
            ear: Ear::new(),
            level: Level::default(),
            taken: 0,
            spoke: Vec::new(),
            open: Vec::new(),
            dropped: 0,
            sounded: Vec::new(),
            clean: Vec::new(),
        }
    }

    /// The key was pressed or let go.
    fn turn(&mut self, turn: Turn, key: &Key, session: &mut Session<'_>) -> Result<()> {
        match turn {
            Turn::Opened => self.open.push((self.taken, None)),
            Turn::Closed | Turn::Gone => self.close(),
        }
        match turn {
            Turn::Gone => session.notice(Notice::KeyGone),
            _ if key.is_tapped() => session.tapped(turn == Turn::Opened),
            _ => Ok(()),
        }
    }

    fn close(&mut self) {
        if let Some((_, to)) = self.open.last_mut() {
            to.get_or_insert(self.taken);
        }
    }

    /// Whether the key let this in: it was open when it was begun, or soon after.
    fn was_open(&self, heard: &Heard) -> bool {
        let (from, soon) = (samples(heard.start_s), samples(heard.start_s + LATE_S));
        self.open
            .iter()
            .any(|(opened, closed)| *opened <= soon && closed.is_none_or(|closed| closed >= from))
    }

    fn take(
        &mut self,
        sound: &[f32],
        sounding: Sounding,
        source: &impl Source,
        listener: &mut Listener,
        session: &mut Session<'_>,
    ) -> Result<()> {
        let from = self.taken;
        self.taken += sound.len();
        if from / LEVEL_EVERY != self.taken / LEVEL_EVERY {
            session.level(level_db(sound))?;
        }
        if !source.hears_the_room() {
            listener.push(sound);
            return Ok(());
        }
        let speaks = sounding == Sounding::Words;
        match self.spoke.last_mut() {
            Some(last) if speaks && last.1 == from => last.1 = self.taken,
            _ if speaks => self.spoke.push((from, self.taken)),
            _ => {}
        }
        self.spoke.retain(|(_, to)| to + REMEMBERED > from);
        self.open
            .retain(|(_, to)| to.is_none_or(|to| to + REMEMBERED > from));
        self.sounded.clear();
        self.clean.clear();
        session.sounded(sound.len(), &mut self.sounded);
        if self.ear.heed(sound, &self.sounded, speaks, &mut self.clean) {
            session.spoken_over();
        }
        listener.push(&self.clean);
        if sounding == Sounding::Nothing
            && let Some(fault) = self.level.take(sound)
        {
            session.notice(match fault {
                LevelFault::Faint => Notice::Faint,
                LevelFault::CutOff => Notice::CutOff,
            })?;
        }
        let dropped = source.dropped();
        if dropped > self.dropped {
            self.dropped = dropped;
            session.notice(Notice::SoundLost)?;
            let lost_s = dropped as f64 / f64::from(SAMPLE_RATE);
            session.hint(&format!("{lost_s:.1} s of sound were lost so far"))?;
        }
        Ok(())
    }

    /// Whether the program spoke while this was said.
    fn spoke_during(&self, heard: &Heard) -> bool {
        let (from, to) = (samples(heard.start_s), samples(heard.end_s));
        self.spoke.iter().any(|spoke| spoke.0 < to && from < spoke.1)
    }
}

/// The microphone is gone: what was said before is taken down, that is told, and it is looked for until it is back.
fn lost(
    listener: &mut Listener,
    source: &mut impl Source,
    stop: &AtomicBool,
    session: &mut Session<'_>,
    fault: Option<SoundError>,
) -> Result<()> {
    listener.flush(session)?;
    if let Some(fault) = fault {
        session.hint(&fault.to_string())?;
    }
    session.notice(Notice::MicrophoneGone)?;
    let mut looked = Instant::now();
    while !stop.load(Ordering::Relaxed) {
        session.sounding()?;
        session.heed_hands()?;
        std::thread::sleep(PIECE);
        if looked.elapsed() < LOOK_AGAIN {
            continue;
        }
        looked = Instant::now();
        if source.reopen().is_ok() {
            return session.notice(Notice::MicrophoneBack);
        }
    }
    Ok(())
}
