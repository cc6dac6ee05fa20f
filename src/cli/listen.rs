//! `couchside listen`: the whole pipeline, on a recording or on the microphone.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use clap::Args;

use super::equipment::Equipment;
use super::events::Show;
use super::keyboard::Keyboard;
use super::live_page::{About, LivePage};
use crate::error::{Error, Result};
use crate::hear::{Microphone, model, read_wav};
use crate::pipeline::{Hands, Key, Listener, Paced, Session, Shown, WayIn, follow};
use crate::readback::{Mouth, Voice};
use crate::record::{self, Record};
use crate::settings::Settings;

/// Takes down what is dictated: says each finding back and records it once it is confirmed aloud.
#[derive(Args)]
pub struct Listen {
    /// The client's code; a client who is not there yet is added
    #[arg(long, value_name = "CODE")]
    client: String,
    /// A recording instead of the microphone
    #[arg(long, value_name = "FILE.wav")]
    from: Option<PathBuf>,
    /// Take the recording at the speed at which it was spoken
    #[arg(long, requires = "from")]
    realtime: bool,
    /// Print each event as a JSON object, one per line
    #[arg(long)]
    json: bool,
    /// The microphone's name, as `couchside devices` lists it
    #[arg(long, value_name = "NAME", conflicts_with = "from")]
    microphone: Option<String>,
    /// The client allows that the sound of what is dictated is kept, encrypted, until it is erased
    #[arg(long, conflicts_with = "no_sound")]
    keep_sound: bool,
    /// The client does not allow it any more
    #[arg(long)]
    no_sound: bool,
    /// The speech model's name
    #[arg(long, value_name = "NAME")]
    model: Option<String>,
    /// A larger model that hears every finding too, on the processor's other core: where it hears something else, you are
    /// asked before anything is recorded
    #[arg(long, value_name = "NAME")]
    second: Option<String>,
    /// Open the page too: it shows what is heard and recorded, and everything can be touched instead of said
    #[arg(long)]
    page: bool,
}

impl Listen {
    /// Runs the command until the recording ends or the therapist stops it with Ctrl-C.
    pub fn run(self) -> Result<()> {
        // A missing model and a recording that cannot be read are said before the passphrase is asked for.
        model::path_of(self.model.as_deref())?;
        let recording = self.from.as_deref().map(read_wav).transpose()?;
        let home = record::home()?;
        let settings = Settings::load(&home)?;
        let passphrase = Record::passphrase(&home)?;
        let mut record = Record::open(&home, &passphrase)?.acting_as(settings.therapist.clone());
        // What waits must not be answered by two at once.
        let _alone = record.listen_alone(&self.client)?;
        let grammar = super::grammar::for_listening(&settings)?;
        let equipment = Equipment {
            home: &home,
            settings: &settings,
            client: &self.client,
            model: self.model.as_deref(),
            second: self.second.as_deref(),
            sound: match (self.keep_sound, self.no_sound) {
                (true, _) => Some(true),
                (_, true) => Some(false),
                _ => None,
            },
        };
        let (visit, recogniser) = equipment.set_up(record, &grammar)?;
        let live = recording.is_none() || self.realtime;
        let mouth = live.then(|| -> Box<dyn Mouth> {
            let voice = Voice::find(settings.speech_program.as_deref());
            Box::new(voice.through(settings.loudspeaker.clone()))
        });
        let show = Show::new(self.json);
        let stop = Stop::default();
        let (page, hands) = match self.page {
            true => {
                let (touch, hands) = Hands::new();
                let page = LivePage::open(About {
                    home: &home,
                    settings: &settings,
                    passphrase: &passphrase,
                    grammar,
                    client: &self.client,
                    touch,
                    stop: stop.now.clone(),
                })?;
                show.hint(&format!("the page: {}", page.address))?;
                (Some(page), hands)
            }
            false => (None, Hands::none()),
        };
        let live_view = page.as_ref().map(|page| page.live.clone());
        let mut session = Session::new(visit, mouth, settings.clone(), move |shown| {
            match (&live_view, shown) {
                (view, Shown::Event(event)) => {
                    view.iter().for_each(|view| view.event(event));
                    show.event(event)
                }
                (_, Shown::Hint(text)) => show.hint(text),
                (view, Shown::Level(level_db)) => {
                    view.iter().for_each(|view| view.level(level_db));
                    Ok(())
                }
            }
        })
        .with_hands(hands);
        let (_keyboard, mut key) = Keyboard::take(match live {
            true => settings.way_in,
            false => WayIn::Open,
        });
        match recording {
            Some(samples) if live => {
                session.begin()?;
                let mut source = Paced::new(&samples);
                let mut listener = Listener::live(recogniser);
                follow(&mut listener, &mut source, &stop.now, &mut session, &mut key)?;
            }
            Some(samples) => {
                session.begin()?;
                Listener::new(recogniser).recording(&samples, &mut session)?;
            }
            None => listen(
                self.microphone,
                settings,
                &mut Listener::live(recogniser),
                &mut session,
                &mut key,
                &stop,
            )?,
        }
        let stays = !stop.by_keyboard.load(Ordering::Relaxed);
        if page.is_some() && stays {
            session.hint("the page stays open until Ctrl-C")?;
        }
        let ended = session.end();
        if let Some(page) = page.filter(|_| stays) {
            page.stay()?;
        }
        ended
    }
}

/// Listens to the microphone until Ctrl-C.
fn listen(
    name: Option<String>,
    settings: Settings,
    listener: &mut Listener,
    session: &mut Session<'_>,
    key: &mut Key,
    stop: &Stop,
) -> Result<()> {
    stop.at_ctrl_c()?;
    let wanted = name.as_deref().or(settings.microphone.as_deref());
    let mut microphone = Microphone::open(wanted)?;
    session.begin()?;
    if remember(name, settings)? {
        session.hint(
            "this microphone is used from now on (`couchside settings microphone --usual` forgets it)",
        )?;
    }
    session.hint("listening; stop with Ctrl-C")?;
    follow(listener, &mut microphone, &stop.now, session, key)?;
    session.hint("stopped; what was recorded is kept, what still waits is asked for next time")
}

/// Ends the listening: Ctrl-C, or a touch on the page, which then stays.
#[derive(Default)]
struct Stop {
    now: Arc<AtomicBool>,
    by_keyboard: Arc<AtomicBool>,
}

impl Stop {
    fn at_ctrl_c(&self) -> Result<()> {
        let (now, by_keyboard) = (self.now.clone(), self.by_keyboard.clone());
        let pressed = move || {
            by_keyboard.store(true, Ordering::Relaxed);
            // Nobody listens any more, and only the page is left: everything is written.
            if now.swap(true, Ordering::Relaxed) {
                std::process::exit(0);
            }
        };
        ctrlc::set_handler(pressed).map_err(|error| Error::File {
            doing: "watch for Ctrl-C".into(),
            source: std::io::Error::other(error),
        })
    }
}

/// A microphone that was named is used next time too. True if it was another one before.
fn remember(microphone: Option<String>, mut settings: Settings) -> Result<bool> {
    if microphone.is_none() || microphone == settings.microphone {
        return Ok(false);
    }
    settings.microphone = microphone;
    settings.save(&record::home()?)?;
    Ok(true)
}
