//! Sound that came in faster than it was taken is told, and how much it was.

use std::sync::atomic::AtomicBool;

use couchside::error::Result;
use couchside::event::Event;
use couchside::hear::model::path_of;
use couchside::hear::{Recogniser, SAMPLE_RATE, SoundError};
use couchside::pipeline::{Key, Listener, Session, Shown, Source, follow};
use couchside::settings::Settings;

use super::{grammar, visit};

const PIECE: usize = SAMPLE_RATE as usize / 50;

/// A second of silence, of which half a second is lost on the way and later a quarter more.
struct Hasty {
    read: usize,
}

impl Source for Hasty {
    fn read(&mut self, out: &mut Vec<f32>) -> std::result::Result<Option<usize>, SoundError> {
        self.read += 1;
        out.resize(out.len() + PIECE, 0.0);
        Ok((self.read <= 50).then_some(PIECE))
    }

    fn hears_the_room(&self) -> bool {
        true
    }

    fn dropped(&self) -> u64 {
        u64::from(SAMPLE_RATE) / 4
            * match self.read {
                0..10 => 0,
                10..30 => 2,
                _ => 3,
            }
    }

    fn reopen(&mut self) -> std::result::Result<(), SoundError> {
        Ok(())
    }
}

#[test]
fn what_is_lost_is_told_once_each_time() {
    let home = tempfile::tempdir().expect("a folder");
    let mut told = Vec::new();
    let show = |shown: Shown<'_>| -> Result<()> {
        match shown {
            Shown::Event(Event::Notice { text }) => told.push(text.clone()),
            Shown::Hint(text) => told.push(text.to_string()),
            Shown::Event(_) | Shown::Level(_) => {}
        }
        Ok(())
    };
    let mut session = Session::new(visit(home.path()), None, Settings::default(), show);
    let model = path_of(Some("tiny.en-joints")).expect("the model is made by `make model`");
    let recogniser = Recogniser::load(&model, grammar()).expect("the model loads");
    let stop = AtomicBool::new(false);
    follow(
        &mut Listener::new(recogniser),
        &mut Hasty { read: 0 },
        &stop,
        &mut session,
        &mut Key::none(),
    )
    .expect("it is heard");
    session.end().expect("nothing was to be written");
    let lost = "Some sound was lost: this computer is too busy. What was just dictated may be missing.";
    assert_eq!(
        told,
        [
            lost,
            "0.5 s of sound were lost so far",
            lost,
            "0.8 s of sound were lost so far"
        ]
    );
}
