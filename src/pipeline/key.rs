//! A key or a foot switch that lets dictation in. A foot switch is a keyboard with one key: whatever it types counts.
//!
//! A terminal tells that a key was pressed, and presses it again and again while it is held, but not that it was let go: it was,
//! once it is not pressed again in time.

use std::io::Read;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Duration, Instant};

use super::WayIn;

/// Until a held key is pressed again by itself for the first time; keyboards wait up to two thirds of a second.
const FIRST_REPEAT: Duration = Duration::from_millis(800);
/// Until the next time; most do it thirty times a second.
const NEXT_REPEAT: Duration = Duration::from_millis(250);
/// What comes sooner after a tap is the same tap, held a little long or typed as several characters.
const ONE_TAP: Duration = Duration::from_millis(200);
/// A tap lets in what is begun within this time.
const TAP_HOLDS: Duration = Duration::from_secs(10);

/// What the key has done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turn {
    Opened,
    Closed,
    /// Its keyboard can't be read any more.
    Gone,
}

/// The key, as whoever listens asks for it.
pub struct Key {
    presses: Option<Receiver<Instant>>,
    held: bool,
    /// When it was opened and last pressed, while it is open.
    open: Option<(Instant, Instant)>,
    last: Option<Instant>,
}

impl Key {
    /// There is none.
    pub fn none() -> Key {
        Key {
            presses: None,
            held: false,
            open: None,
            last: None,
        }
    }

    /// Each piece that comes from `keyboard` is a press.
    pub fn of(mut keyboard: impl Read + Send + 'static, way_in: WayIn) -> Key {
        let (press, presses) = channel();
        std::thread::spawn(move || {
            let mut typed = [0; 64];
            while let Ok(1..) = keyboard.read(&mut typed) {
                if press.send(Instant::now()).is_err() {
                    break;
                }
            }
        });
        Key {
            presses: Some(presses),
            held: way_in == WayIn::KeyHeld,
            ..Key::none()
        }
    }

    /// What it has done since it was last asked; ask again until there is nothing more.
    pub fn turn(&mut self) -> Option<Turn> {
        let pressed = self.presses.as_ref()?.try_recv();
        match pressed {
            Ok(at) => self.press(at),
            Err(TryRecvError::Empty) => self.pass(Instant::now()),
            Err(TryRecvError::Disconnected) => {
                self.presses = None;
                self.open = None;
                Some(Turn::Gone)
            }
        }
    }

    /// A tap opens it, and not a hold.
    pub fn is_tapped(&self) -> bool {
        !self.held
    }

    /// What it let in has come: a tap lets in no more. True if that closes it.
    pub fn used(&mut self) -> bool {
        !self.held && self.open.take().is_some()
    }

    fn press(&mut self, at: Instant) -> Option<Turn> {
        let same = self.last.is_some_and(|last| at - last < ONE_TAP);
        self.last = Some(at);
        match &mut self.open {
            None if same && !self.held => None,
            None => {
                self.open = Some((at, at));
                Some(Turn::Opened)
            }
            Some((_, last)) if self.held => {
                *last = at;
                None
            }
            Some(_) if same => None,
            Some(_) => self.close(),
        }
    }

    fn pass(&mut self, now: Instant) -> Option<Turn> {
        let (opened, last) = self.open?;
        let holds = match self.held {
            true if opened == last => FIRST_REPEAT,
            true => NEXT_REPEAT,
            false => TAP_HOLDS,
        };
        if now.saturating_duration_since(last) <= holds {
            return None;
        }
        self.close()
    }

    fn close(&mut self) -> Option<Turn> {
        self.open = None;
        Some(Turn::Closed)
    }
}
