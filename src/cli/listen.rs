//! `couchside listen`: the whole pipeline, on a recording or on the microphone.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use clap::Args;

use super::events::Show;
use crate::error::{Error, Result};
use crate::event::Event;
use crate::hear::{Microphone, Recogniser, SAMPLE_RATE, model, read_wav};
use crate::pipeline::{Listener, Visit};
use crate::readback::{Said, Voice};
use crate::record::Record;

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
    /// The speech model's name
    #[arg(long, value_name = "NAME")]
    model: Option<String>,
}

/// 20 ms of sound.
const PIECE: Duration = Duration::from_millis(20);

impl Listen {
    /// Runs the command until the recording ends or the therapist stops it with Ctrl-C.
    pub fn run(self) -> Result<()> {
        let model_file = model::path_of(self.model.as_deref())?;
        // A recording that cannot be read is said before the passphrase is asked for.
        let recording = self.from.as_deref().map(read_wav).transpose()?;
        let record = Record::unlock()?;
        let grammar = super::grammar::in_use()?;
        let listener = Listener::new(Recogniser::load(&model_file, grammar.clone())?);
        let name = model_file.file_stem().unwrap_or_default().to_string_lossy();
        let visit = Visit::open(record, &self.client, &name, grammar)?;
        let voice = (recording.is_none() || self.realtime).then(|| Voice::find(None));
        let mut room = Room {
            listener,
            visit,
            voice,
            show: Show::new(self.json),
        };
        room.begin()?;
        match recording {
            Some(samples) => room.play(&samples, self.realtime),
            None => room.listen(self.microphone.as_deref()),
        }
    }
}

/// Everything that takes part while listening.
struct Room {
    listener: Listener,
    visit: Visit,
    /// `None`: what is said is only printed.
    voice: Option<Voice>,
    show: Show,
}

impl Room {
    fn begin(&mut self) -> Result<()> {
        if let Some(why) = self.voice.as_ref().and_then(Voice::why_as_text) {
            self.show.hint(why)?;
        }
        let events = self.visit.begin();
        self.tell(&events).map(|_| ())
    }

    /// Takes a recording.
    fn play(&mut self, samples: &[f32], realtime: bool) -> Result<()> {
        let began = Instant::now();
        let piece = (PIECE.as_secs_f64() * f64::from(SAMPLE_RATE)) as usize;
        for (number, sound) in samples.chunks(piece).enumerate() {
            if realtime {
                let due = PIECE * (number as u32 + 1);
                std::thread::sleep(due.saturating_sub(began.elapsed()));
            }
            self.take(sound)?;
        }
        if let Some(heard) = self.listener.finish()? {
            let events = self.visit.take(&heard)?;
            self.tell(&events)?;
        }
        Ok(())
    }

    /// Listens to the microphone until Ctrl-C.
    fn listen(&mut self, name: Option<&str>) -> Result<()> {
        let stop = Arc::new(AtomicBool::new(false));
        let stopped = stop.clone();
        ctrlc::set_handler(move || stopped.store(true, Ordering::Relaxed)).map_err(|error| Error::File {
            doing: "watch for Ctrl-C".into(),
            source: std::io::Error::other(error),
        })?;
        let mut microphone = Microphone::open(name)?;
        self.show.hint("listening; stop with Ctrl-C")?;
        let mut sound = Vec::new();
        while !stop.load(Ordering::Relaxed) {
            sound.clear();
            if microphone.read(&mut sound)? == 0 {
                std::thread::sleep(PIECE);
                continue;
            }
            if self.take(&sound)? {
                // The program does not listen to itself: what came in while it spoke is thrown away.
                sound.clear();
                microphone.read(&mut sound)?;
                self.listener.restart();
            }
        }
        if let Some(heard) = self.listener.finish()? {
            let events = self.visit.take(&heard)?;
            self.tell(&events)?;
        }
        self.show
            .hint("stopped; what was recorded is kept, what still waits is asked for next time")
    }

    /// Takes in a piece of sound. True if something was said aloud.
    fn take(&mut self, sound: &[f32]) -> Result<bool> {
        let mut spoke = false;
        for heard in self.listener.push(sound)? {
            let events = self.visit.take(&heard)?;
            spoke |= self.tell(&events)?;
        }
        Ok(spoke)
    }

    /// Shows events and says what is to be said. True if something was said aloud.
    fn tell(&mut self, events: &[Event]) -> Result<bool> {
        let mut spoke = false;
        for event in events {
            self.show.event(event)?;
            if let (Event::Said { text }, Some(voice)) = (event, &mut self.voice) {
                let had_reason = voice.why_as_text().is_some();
                match voice.say(text) {
                    Ok(Said::Aloud) => spoke = true,
                    Ok(Said::AsText) if had_reason => {}
                    Ok(Said::AsText) => self.show.hint(voice.why_as_text().unwrap_or_default())?,
                    // Losing the voice must not lose the session: the sentence is on the screen.
                    Err(error) => self.show.hint(&error.to_string())?,
                }
            }
        }
        Ok(spoke)
    }
}
