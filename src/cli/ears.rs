//! Listening that is begun on the page: the microphone, in a thread of its own, until it is stopped there.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::sync::mpsc::channel;

use super::equipment::Equipment;
use crate::error::{Error, Result};
use crate::hear::{Microphone, model};
use crate::page::{self, Live};
use crate::pipeline::{Hands, Key, Listener, Session, Shown, follow};
use crate::readback::{Mouth, Voice};
use crate::record::{Passphrase, Record};
use crate::settings::Settings;

/// Listens for whoever is chosen on the page of this record.
pub struct Ears {
    /// The folder of the record.
    pub home: PathBuf,
}

impl page::Ears for Ears {
    fn open(&self, client: &str, passphrase: &Passphrase, sound: bool) -> Result<Arc<Live>> {
        let examination = Examination {
            home: self.home.clone(),
            client: client.to_owned(),
            passphrase: passphrase.clone(),
            sound,
        };
        let (tell, told) = channel();
        std::thread::Builder::new()
            .name("listening".into())
            .spawn(move || {
                let mut live = None;
                let ended = examination.listen(|begun: Arc<Live>| {
                    live = Some(begun.clone());
                    // Whoever asked may have gone away; it listens all the same, and is stopped on the page.
                    let _ = tell.send(Ok(begun));
                });
                match (ended, live) {
                    (Err(error), Some(live)) => live.broke_off(&error.to_string()),
                    (Err(error), None) => {
                        let _ = tell.send(Err(error));
                    }
                    (Ok(()), live) => live.iter().for_each(|live| live.ended()),
                }
            })
            .map_err(|source| Error::File {
                doing: "begin to listen".into(),
                source,
            })?;
        told.recv()
            .unwrap_or_else(|_| Err(Error::Failed("the listening ended as it began; try again".into())))
    }
}

/// One visit that is listened to.
struct Examination {
    home: PathBuf,
    client: String,
    passphrase: Passphrase,
    sound: bool,
}

impl Examination {
    /// Listens until it is stopped. `begun` is told once the microphone is open.
    fn listen(self, begun: impl FnOnce(Arc<Live>)) -> Result<()> {
        let settings = Settings::load(&self.home)?;
        if settings.way_in.needs_key() {
            return Err(Error::Failed(
                "your settings let dictation in by a key, which only the terminal can read: start with \
                 `couchside listen`, or choose another way with `couchside settings way-in`"
                    .into(),
            ));
        }
        // What is missing is told before a visit is opened.
        model::path_of(None)?;
        drop(Microphone::open(settings.microphone.as_deref())?);
        let mut record = Record::open(&self.home, &self.passphrase)?.acting_as(settings.therapist.clone());
        let _alone = record.listen_alone(&self.client)?;
        record.visit_for(&self.client)?;
        let grammar = super::grammar::for_listening(&settings)?;
        let (touch, hands) = Hands::new();
        let stop = Arc::new(AtomicBool::new(false));
        let live = Live::of(&record, grammar.clone(), &self.client, touch, stop.clone())?;
        let live = Arc::new(live);
        let equipment = Equipment {
            home: &self.home,
            settings: &settings,
            client: &self.client,
            model: None,
            second: None,
            sound: Some(self.sound),
        };
        let (visit, recogniser) = equipment.set_up(record, &grammar)?;
        let mut microphone = Microphone::open(settings.microphone.as_deref())?;
        let voice = Voice::find(settings.speech_program.as_deref());
        let mouth: Box<dyn Mouth> = Box::new(voice.through(settings.loudspeaker.clone()));
        let shown = live.clone();
        let mut session = Session::new(visit, Some(mouth), settings, move |what| {
            match what {
                Shown::Event(event) => shown.event(event),
                Shown::Hint(text) => shown.notice(text),
                Shown::Level(level_db) => shown.level(level_db),
            }
            Ok(())
        })
        .with_hands(hands);
        begun(live);
        session.begin()?;
        let mut listener = Listener::live(recogniser);
        follow(
            &mut listener,
            &mut microphone,
            &stop,
            &mut session,
            &mut Key::none(),
        )?;
        session.end()
    }
}
