//! A visit that is listened to: what happens is shown and sounded, and what goes wrong is told without ending it.

use super::listener::Scribe;
use super::own_voice::OwnVoice;
use super::{Hands, Visit};
use crate::error::{Error, Result};
use crate::event::Event;
use crate::finding::Outcome;
use crate::hear::Heard;
use crate::interpret::Interpreter;
use crate::readback::{Mouth, Said, Sound, Sounding, Tone, VoiceError, count};
use crate::settings::Settings;

/// Something to be shown.
pub enum Shown<'a> {
    Event(&'a Event),
    /// What people should know beside.
    Hint(&'a str),
    /// How loud the room is, in dB of full scale; a few times a second.
    Level(f32),
}

/// What the therapist must be told of the room and the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Notice {
    MicrophoneGone,
    MicrophoneBack,
    /// Hardly anything is heard.
    Faint,
    /// The sound is so loud that it is cut off.
    CutOff,
    /// Sound came in faster than it was taken.
    SoundLost,
    /// The record can't be written.
    NotWritten,
    /// The key that lets dictation in can't be read.
    KeyGone,
    /// The program's voice can't be taken out of what the microphone hears.
    HearsItself,
}

/// The visit, and how its events reach the therapist.
pub struct Session<'a> {
    visit: Visit,
    /// `None`: what is said is only shown.
    mouth: Option<Box<dyn Mouth + 'a>>,
    settings: Settings,
    show: Box<dyn FnMut(Shown<'_>) -> Result<()> + 'a>,
    hands: Hands,
    own_voice: OwnVoice,
    /// The program has heard itself.
    hears_itself: bool,
    took_dictation: bool,
    /// What kept the last thing that was said from being written.
    not_written: Option<Error>,
}

impl<'a> Session<'a> {
    pub fn new(
        visit: Visit,
        mouth: Option<Box<dyn Mouth + 'a>>,
        settings: Settings,
        show: impl FnMut(Shown<'_>) -> Result<()> + 'a,
    ) -> Session<'a> {
        Session {
            visit,
            mouth,
            settings,
            show: Box::new(show),
            hands: Hands::none(),
            own_voice: OwnVoice::default(),
            hears_itself: false,
            took_dictation: false,
            not_written: None,
        }
    }

    /// Heeds what is touched, too.
    #[must_use]
    pub fn with_hands(self, hands: Hands) -> Session<'a> {
        Session { hands, ..self }
    }

    /// Does what was touched since it was last asked.
    ///
    /// # Errors
    /// It can't be shown.
    pub fn heed_hands(&mut self) -> Result<()> {
        while let Some(words) = self.hands.touched() {
            let done = self.visit.touch(&words);
            self.answer(done)?;
        }
        Ok(())
    }

    /// Shows how loud the room is.
    ///
    /// # Errors
    /// It can't be shown.
    pub fn level(&mut self, level_db: f32) -> Result<()> {
        (self.show)(Shown::Level(level_db))
    }

    /// Tells what still waits from before.
    ///
    /// # Errors
    /// It can't be shown.
    pub fn begin(&mut self) -> Result<()> {
        let why = self.mouth.as_ref().and_then(|mouth| mouth.why_as_text());
        if let Some(why) = why.map(str::to_string) {
            self.hint(&why)?;
        }
        if let Some(mouth) = &mut self.mouth {
            // That it listens is heard, and the loudspeaker is open before it is needed.
            let listening = Tone::Listening.sound(self.settings.tone_level);
            if let Err(error) = mouth.sound(&listening) {
                self.hint(&error.to_string())?;
            }
        }
        let answer = &self.interpreter().grammar().readback.answer;
        let sound = match self.visit.is_sound_allowed()? {
            Some(true) => answer.sound_kept.clone(),
            _ => answer.no_sound_kept.clone(),
        };
        self.tell(&[Event::Said { text: sound }])?;
        let events = self.visit.begin();
        self.tell(&events)
    }

    /// What is being sounded now; goes on with it.
    ///
    /// # Errors
    /// A failure of the loudspeaker can't be shown.
    pub fn sounding(&mut self) -> Result<Sounding> {
        let Some(mouth) = &mut self.mouth else {
            return Ok(Sounding::Nothing);
        };
        let sounding = match mouth.go_on() {
            Ok(sounding) => sounding,
            // Losing the voice must not lose the session: the sentence is on the screen.
            Err(error) => {
                self.hint(&error.to_string())?;
                self.visit.was_cut_short();
                Sounding::Nothing
            }
        };
        // Words may wait behind a tone.
        if sounding == Sounding::Nothing {
            self.visit.was_told();
        }
        Ok(sounding)
    }

    /// Adds to `out` so many samples of what goes to the loudspeaker.
    pub fn sounded(&mut self, count: usize, out: &mut Vec<f32>) {
        match &mut self.mouth {
            Some(mouth) => mouth.sounded(count, out),
            None => out.resize(out.len() + count, 0.0),
        }
    }

    /// Somebody speaks while the program does: it is silent at once, and what it did not say to the end counts as not said.
    pub fn spoken_over(&mut self) {
        if let Some(mouth) = &mut self.mouth {
            mouth.hush();
        }
        self.visit.was_cut_short();
    }

    /// Tells of something that is no answer.
    ///
    /// # Errors
    /// It can't be shown.
    pub fn notice(&mut self, notice: Notice) -> Result<()> {
        let words = &self.interpreter().grammar().readback.notice;
        let text = match notice {
            Notice::MicrophoneGone => &words.microphone_gone,
            Notice::MicrophoneBack => &words.microphone_back,
            Notice::Faint => &words.faint,
            Notice::CutOff => &words.cut_off,
            Notice::SoundLost => &words.sound_lost,
            Notice::NotWritten => &words.not_written,
            Notice::KeyGone => &words.key_gone,
            Notice::HearsItself => &words.hears_itself,
        };
        let text = text.clone();
        self.tell(&[Event::Notice { text }])
    }

    /// A tap of the key opens what is said next to be dictation, or closes it; both are heard.
    ///
    /// # Errors
    /// It can't be shown.
    pub fn tapped(&mut self, open: bool) -> Result<()> {
        self.tell(&[if open { Event::Opened } else { Event::Closed }])
    }

    /// Whether the last utterance was taken for dictation.
    pub fn took_dictation(&self) -> bool {
        self.took_dictation
    }

    /// Shows something that people should know beside.
    ///
    /// # Errors
    /// It can't be shown.
    pub fn hint(&mut self, text: &str) -> Result<()> {
        (self.show)(Shown::Hint(text))
    }

    /// Whether the program has heard its own voice, which should have been taken out of what it hears.
    pub fn hears_itself(&self) -> bool {
        self.hears_itself
    }

    /// Whether this, heard while the program spoke, is what it said: a finding that says nothing new, or words that make no
    /// sense and were just said.
    fn is_own_voice(&self, heard: &Heard) -> bool {
        match self.interpreter().choose(heard).reading.outcome {
            Outcome::Finding { findings } => self.visit.wait_already(&findings),
            Outcome::Control { .. } => false,
            Outcome::Aside | Outcome::Unclear { .. } => {
                let grammar = self.interpreter().grammar();
                self.own_voice.is(grammar, &grammar.words(&heard.free.text))
            }
        }
    }

    /// It does: what was cut short thereby is said again.
    fn heard_itself(&mut self, heard: &Heard) -> Result<()> {
        let aside = Event::Aside {
            heard: heard.free.text.trim().to_string(),
            start_s: heard.start_s,
            end_s: heard.end_s,
        };
        self.tell(&[aside])?;
        if !std::mem::replace(&mut self.hears_itself, true) {
            self.notice(Notice::HearsItself)?;
        }
        let events = self.visit.say_what_was_cut_short();
        self.tell(&events)
    }

    /// Ends it.
    ///
    /// # Errors
    /// What was said last could not be written, and nothing could since.
    pub fn end(self) -> Result<()> {
        self.not_written.map_or(Ok(()), Err)
    }

    /// Shows events and sounds what is to be heard.
    fn tell(&mut self, events: &[Event]) -> Result<()> {
        for event in events {
            (self.show)(Shown::Event(event))?;
        }
        let words = self.visit.interpreter().grammar().readback.answer.clone();
        let mut aloud = false;
        for sound in self.settings.answers.sounds(events, &words) {
            if let Sound::Sentence(text) = &sound {
                self.own_voice
                    .says(self.visit.interpreter().grammar().words(text));
            }
            let Some(mouth) = &mut self.mouth else {
                break;
            };
            let had_reason = mouth.why_as_text().is_some();
            match begin(mouth.as_mut(), &self.settings, &sound) {
                Ok(said) => {
                    aloud |= said == Said::Aloud;
                    let why = mouth.why_as_text().filter(|_| !had_reason).map(str::to_string);
                    if let Some(why) = why {
                        self.hint(&why)?;
                    }
                }
                Err(error) => self.hint(&error.to_string())?,
            }
        }
        if !aloud {
            self.visit.was_told();
        }
        Ok(())
    }
}

impl Scribe for Session<'_> {
    fn interpreter(&self) -> &Interpreter {
        self.visit.interpreter()
    }

    fn is_standing_by(&self) -> bool {
        self.visit.is_standing_by()
    }

    /// Does what an utterance asks for.
    fn take(&mut self, heard: &Heard) -> Result<()> {
        self.took_dictation = false;
        if heard.over_voice && self.is_own_voice(heard) {
            return self.heard_itself(heard);
        }
        let done = self.visit.take(heard);
        if let Ok(events) = &done {
            self.took_dictation = !events.iter().all(|event| matches!(event, Event::Aside { .. }));
        }
        self.answer(done)
    }
}

impl Session<'_> {
    /// Tells what came of something. A record that can't be written is told; the visit goes on.
    fn answer(&mut self, done: Result<Vec<Event>>) -> Result<()> {
        match done {
            Ok(events) => {
                if events.iter().any(|event| matches!(event, Event::Recorded { .. })) {
                    self.not_written = None;
                }
                if let Some(error) = self.visit.not_learnt() {
                    self.hint(&error.to_string())?;
                }
                self.tell(&events)
            }
            Err(Error::Record(error)) => {
                self.hint(&error.to_string())?;
                self.not_written = Some(error.into());
                self.notice(Notice::NotWritten)
            }
            Err(error) => Err(error),
        }
    }
}

fn begin(
    mouth: &mut dyn Mouth,
    settings: &Settings,
    sound: &Sound<'_>,
) -> std::result::Result<Said, VoiceError> {
    match sound {
        Sound::Sentence(text) => mouth.say(text),
        Sound::Tone(tone) => mouth.sound(&tone.sound(settings.tone_level)),
        Sound::Count => mouth.sound(&count(settings.count, settings.tone_level)),
    }
}
