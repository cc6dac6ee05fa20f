//! The keyboard as a key that lets dictation in: a foot switch is one too.

use std::io::stdin;

use crate::pipeline::{Key, WayIn};

/// While it is there, the terminal hands on each key as it is pressed and does not show it.
pub struct Keyboard {
    #[cfg(unix)]
    before: Option<rustix::termios::Termios>,
}

impl Keyboard {
    /// Takes the keyboard, if `way_in` needs one.
    pub fn take(way_in: WayIn) -> (Keyboard, Key) {
        if !way_in.needs_key() {
            return (Keyboard::left_alone(), Key::none());
        }
        (Keyboard::key_by_key(), Key::of(stdin(), way_in))
    }

    #[cfg(unix)]
    fn left_alone() -> Keyboard {
        Keyboard { before: None }
    }

    /// Ctrl-C still stops the program, and what is printed looks as before.
    #[cfg(unix)]
    fn key_by_key() -> Keyboard {
        use rustix::termios::{LocalModes, OptionalActions, tcgetattr, tcsetattr};

        // What is no terminal, but a pipe from a switch's own program, comes key by key anyway.
        let before = tcgetattr(stdin()).ok();
        if let Some(before) = &before {
            let mut now = before.clone();
            now.local_modes -= LocalModes::ICANON | LocalModes::ECHO;
            let _ = tcsetattr(stdin(), OptionalActions::Now, &now);
        }
        Keyboard { before }
    }

    #[cfg(not(unix))]
    fn left_alone() -> Keyboard {
        Keyboard {}
    }

    /// Here a key counts once Enter is pressed too.
    #[cfg(not(unix))]
    fn key_by_key() -> Keyboard {
        Keyboard {}
    }
}

#[cfg(unix)]
impl Drop for Keyboard {
    fn drop(&mut self) {
        use rustix::termios::{OptionalActions, tcsetattr};

        if let Some(before) = &self.before {
            let _ = tcsetattr(stdin(), OptionalActions::Now, before);
        }
    }
}
