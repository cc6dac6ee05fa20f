//! `couchside listen`: the whole pipeline, on a recording or on the microphone.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use clap::Args;

use super::events::Show;
use crate::error::{Error, Result};
use crate::event::Event;
use crate::hear::{Heard, Microphone, Recogniser, SAMPLE_RATE, model, model_name, read_wav};
use crate::interpret::Interpreter;
use crate::learn::{Learnt, Lessons};
use crate::pipeline::{Listener, Scribe, Second, Visit, follow};
use crate::readback::{Said, Sound, Voice, VoiceError, count};
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
    /// The speech model's name
    #[arg(long, value_name = "NAME")]
    model: Option<String>,
    /// A larger model that hears every finding too, on the processor's other core: where it hears something else, you are
    /// asked before anything is recorded
    #[arg(long, value_name = "NAME")]
    second: Option<String>,
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
        let home = record::home()?;
        let settings = Settings::load(&home)?;
        let learnt = Learnt::load(&home)?;
        let recogniser =
            Recogniser::load(&model_file, grammar.clone())?.with_aliases(learnt.aliases(&grammar));
        let name = model_name(&model_file);
        let shift = learnt.shift(&name);
        let lessons = Lessons::new(learnt, home, &name, grammar.clone());
        let visit = Visit::open(record, &self.client, &name, grammar.clone())?.with_lessons(lessons, shift);
        let visit = match self.second.as_deref() {
            Some(name) => {
                let larger = Recogniser::load(&model::path_of(Some(name))?, grammar)?;
                visit.with_second(Second::start(larger))
            }
            None => visit,
        };
        let live = recording.is_none() || self.realtime;
        let mut room = Room {
            visit,
            voice: live.then(|| {
                Voice::find(settings.speech_program.as_deref()).through(settings.loudspeaker.clone())
            }),
            show: Show::new(self.json),
            settings,
        };
        room.begin()?;
        match recording {
            Some(samples) if live => room.play(&samples, &mut Listener::live(recogniser)),
            Some(samples) => Listener::new(recogniser).recording(&samples, &mut room),
            None => room.listen(self.microphone, &mut Listener::live(recogniser)),
        }
    }
}

/// Everything that answers while listening.
struct Room {
    visit: Visit,
    /// `None`: what is said is only printed.
    voice: Option<Voice>,
    show: Show,
    settings: Settings,
}

impl Scribe for Room {
    fn interpreter(&self) -> &Interpreter {
        self.visit.interpreter()
    }

    fn take(&mut self, heard: &Heard) -> Result<bool> {
        let events = self.visit.take(heard)?;
        if let Some(error) = self.visit.not_learnt() {
            self.show.hint(&error.to_string())?;
        }
        self.tell(&events)
    }
}

impl Room {
    fn begin(&mut self) -> Result<()> {
        if let Some(why) = self.voice.as_ref().and_then(Voice::why_as_text) {
            self.show.hint(why)?;
        }
        let events = self.visit.begin();
        self.tell(&events).map(|_| ())
    }

    /// Takes a recording at the speed at which it was spoken. It does not talk into it: all of it is heard.
    fn play(&mut self, samples: &[f32], listener: &mut Listener) -> Result<()> {
        let began = Instant::now();
        let piece = (PIECE.as_secs_f64() * f64::from(SAMPLE_RATE)) as usize;
        for (number, sound) in samples.chunks(piece).enumerate() {
            let due = PIECE * (number as u32 + 1);
            std::thread::sleep(due.saturating_sub(began.elapsed()));
            listener.push(sound);
            listener.hand_over(self)?;
        }
        listener.finish();
        listener.hand_over(self)
    }

    /// Listens to the microphone until Ctrl-C.
    fn listen(&mut self, name: Option<String>, listener: &mut Listener) -> Result<()> {
        let stop = Arc::new(AtomicBool::new(false));
        let stopped = stop.clone();
        ctrlc::set_handler(move || stopped.store(true, Ordering::Relaxed)).map_err(|error| Error::File {
            doing: "watch for Ctrl-C".into(),
            source: std::io::Error::other(error),
        })?;
        let wanted = name.as_deref().or(self.settings.microphone.as_deref());
        let mut microphone = Microphone::open(wanted)?;
        self.remember(name)?;
        self.show.hint("listening; stop with Ctrl-C")?;
        follow(listener, |sound| microphone.read(sound), &stop, self)?;
        self.show
            .hint("stopped; what was recorded is kept, what still waits is asked for next time")
    }

    /// A microphone that was named is used next time too.
    fn remember(&mut self, microphone: Option<String>) -> Result<()> {
        if microphone.is_some() && microphone != self.settings.microphone {
            self.settings.microphone = microphone;
            self.settings.save(&record::home()?)?;
            self.show.hint(
                "this microphone is used from now on (`couchside settings microphone --usual` forgets it)",
            )?;
        }
        Ok(())
    }

    /// Shows events and sounds what is to be heard. True if something was said aloud.
    fn tell(&mut self, events: &[Event]) -> Result<bool> {
        for event in events {
            self.show.event(event)?;
        }
        let words = self.visit.interpreter().grammar().readback.answer.clone();
        let mut spoke = false;
        let Some(voice) = &mut self.voice else {
            return Ok(false);
        };
        for sound in self.settings.answers.sounds(events, &words) {
            let had_reason = voice.why_as_text().is_some();
            match sounded(voice, &self.settings, &sound) {
                Ok(said) => {
                    // A tone holds no words: what comes in with it is listened to, so that nothing said then is lost.
                    spoke |= said == Said::Aloud && !matches!(sound, Sound::Tone(_));
                    if let Some(why) = voice.why_as_text().filter(|_| !had_reason) {
                        self.show.hint(why)?;
                    }
                }
                // Losing the voice must not lose the session: the sentence is on the screen.
                Err(error) => self.show.hint(&error.to_string())?,
            }
        }
        Ok(spoke)
    }
}

fn sounded(
    voice: &mut Voice,
    settings: &Settings,
    sound: &Sound<'_>,
) -> std::result::Result<Said, VoiceError> {
    match sound {
        Sound::Sentence(text) => voice.say(text),
        Sound::Tone(tone) => voice.sound(&tone.sound(settings.tone_level)),
        Sound::Count => voice.sound(&count(settings.count, settings.tone_level)),
    }
}
