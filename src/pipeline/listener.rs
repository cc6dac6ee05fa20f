//! Sound → what was heard, utterance by utterance: the same for a file and for a microphone.
//!
//! When a pause begins, what was said so far is heard at once, and what it says decides how long the pause must last to
//! end it. The decision depends on the sound alone: until it is made, later sound is kept and not looked at. So the
//! same sound gives the same utterances however it arrives and however long the hearing takes.

use crate::error::Result;
use crate::hear::{Cut, Decoder, Endpointer, Heard, Pause, Recogniser, SAMPLE_RATE, Settings, Utterance};
use crate::interpret::{Interpreter, Standing};

/// Samples at a time, as a microphone gives them: 20 ms.
const PIECE: usize = SAMPLE_RATE as usize / 50;

/// Who takes down what was heard.
pub trait Scribe {
    /// Reads what is heard, with what was said before.
    fn interpreter(&self) -> &Interpreter;

    /// Takes down an utterance.
    ///
    /// # Errors
    /// It could not be taken down.
    fn take(&mut self, heard: &Heard) -> Result<()>;

    /// Whether nothing is to be heard but a word that ends that.
    fn is_standing_by(&self) -> bool {
        false
    }
}

/// Sound in, what was heard out.
pub struct Listener {
    settings: Settings,
    endpointer: Endpointer,
    decoder: Decoder,
    /// Whether to wait for what was heard, rather than to say that nothing is known yet.
    waits: bool,
    /// No more sound comes.
    over: bool,
    standing_by: bool,
    ended: Option<Ended>,
}

/// An utterance that has ended and is being heard.
struct Ended {
    pause_s: f64,
    /// It was given to the decoder when its pause began.
    early: bool,
    /// Where the sound ended in the middle of the pause, nobody knows how long it would have been waited for.
    cut_off: bool,
}

impl Listener {
    /// Listens to recordings: hears on this thread, and waits for it.
    pub fn new(recogniser: Recogniser) -> Listener {
        Listener::with(Settings::default(), Decoder::here(recogniser), true)
    }

    /// Listens to sound as it comes in: hears on another thread, and never waits but at the end of the sound.
    pub fn live(recogniser: Recogniser) -> Listener {
        Listener::with(Settings::default(), Decoder::beside(recogniser), false)
    }

    /// Another way of cutting, from here on.
    #[must_use]
    pub fn cutting(self, settings: Settings) -> Listener {
        Listener::with(settings, self.decoder, self.waits)
    }

    fn with(settings: Settings, decoder: Decoder, waits: bool) -> Listener {
        Listener {
            endpointer: Endpointer::new(settings.clone()),
            settings,
            decoder,
            waits,
            over: false,
            standing_by: false,
            ended: None,
        }
    }

    /// Takes in sound, 16 kHz mono, in pieces of any size. Ask [`Listener::next`] until there is nothing more in it.
    pub fn push(&mut self, samples: &[f32]) {
        self.endpointer.take(samples);
    }

    /// What was heard in the next utterance. `None`: more sound is needed, or time; after [`Listener::finish`], the
    /// sound is over. `interpreter` must have followed what was heard before.
    ///
    /// # Errors
    /// The recogniser failed. The utterance is lost; it can go on.
    pub fn next(&mut self, interpreter: &Interpreter) -> Result<Option<Heard>> {
        loop {
            if self.ended.is_some() {
                return self.heard();
            }
            match self.endpointer.go_on() {
                Some(Cut::Pausing(_)) if self.standing_by => {}
                Some(Cut::Asking) if self.standing_by => self.endpointer.answer(Pause::Middle),
                Some(Cut::Ended { utterance, .. }) if self.standing_by && !may_resume(&utterance) => {}
                Some(Cut::Pausing(utterance)) => self.decoder.begin(utterance),
                Some(Cut::Asking) => match self.decoder.heard(self.waits || self.over) {
                    Ok(Some(heard)) => self.endpointer.answer(pause_after(interpreter.standing(heard))),
                    Ok(None) => return Ok(None),
                    // It is tried once more when the utterance has ended.
                    Err(_) => self.endpointer.answer(Pause::Middle),
                },
                Some(Cut::Ended { utterance, pause_s }) => self.end(utterance, pause_s, false),
                None if !self.over => return Ok(None),
                None => match self.endpointer.finish() {
                    Some(utterance) if self.standing_by && !may_resume(&utterance) => return Ok(None),
                    Some(utterance) => self.end(utterance, 0.0, true),
                    None => return Ok(None),
                },
            }
        }
    }

    /// While somebody stands by, only what is short enough to be the word that ends that is heard; all else is let go of as it
    /// comes.
    pub fn stand_by(&mut self, standing_by: bool) {
        self.standing_by = standing_by;
    }

    /// The sound has ended, or what was begun is not to be waited for: [`Listener::next`] gives what is left, and
    /// waits for it.
    pub fn finish(&mut self) {
        self.over = true;
    }

    /// Another sound begins: times count from here. What was not asked for is lost.
    pub fn restart(&mut self) {
        self.endpointer = Endpointer::new(self.settings.clone());
        self.decoder.forget();
        self.over = false;
        self.ended = None;
    }

    /// Hears a whole recording from its beginning, in pieces as a microphone would give them; `scribe` gets each
    /// utterance as soon as it has ended.
    ///
    /// # Errors
    /// Those of the recogniser and of the scribe.
    pub fn recording(&mut self, samples: &[f32], scribe: &mut impl Scribe) -> Result<()> {
        self.restart();
        for piece in samples.chunks(PIECE) {
            self.push(piece);
            self.hand_over(scribe)?;
        }
        self.finish();
        self.hand_over(scribe)
    }

    /// The sound breaks off here: hands over everything that was said, what was begun included. More may come.
    ///
    /// # Errors
    /// Those of the recogniser and of the scribe.
    pub fn flush(&mut self, scribe: &mut impl Scribe) -> Result<()> {
        self.finish();
        let done = self.hand_over(scribe);
        self.over = false;
        done
    }

    /// Hands over everything that has been heard.
    ///
    /// # Errors
    /// Those of the recogniser and of the scribe.
    pub fn hand_over(&mut self, scribe: &mut impl Scribe) -> Result<()> {
        while let Some(heard) = self.next(scribe.interpreter())? {
            scribe.take(&heard)?;
            self.stand_by(scribe.is_standing_by());
        }
        Ok(())
    }

    /// Seconds of sound that are kept.
    pub fn kept_s(&self) -> f64 {
        self.endpointer.kept_s()
    }

    fn end(&mut self, utterance: Utterance, pause_s: f64, cut_off: bool) {
        self.ended = Some(Ended {
            pause_s,
            early: self.decoder.is_about(&utterance),
            cut_off,
        });
        self.decoder.begin(utterance);
    }

    /// What was heard in the utterance that has ended, once it is known.
    fn heard(&mut self) -> Result<Option<Heard>> {
        let result = self.decoder.heard(self.waits || self.over);
        if let Ok(None) = result {
            return Ok(None);
        }
        let heard = result.map(|heard| heard.cloned());
        self.decoder.forget();
        let ended = self.ended.take();
        let Some((mut heard, ended)) = heard?.zip(ended) else {
            return Ok(None);
        };
        let took_s = heard.took.as_secs_f64();
        heard.answered_s = match ended.early {
            _ if ended.cut_off => None,
            true => Some(ended.pause_s.max(self.settings.begun_s + took_s)),
            false => Some(ended.pause_s + took_s),
        };
        Ok(Some(heard))
    }
}

/// How long the word that ends standing by may take, in seconds, spoken slowly.
const RESUME_S: f64 = 1.5;

fn may_resume(utterance: &Utterance) -> bool {
    utterance.end_s - utterance.start_s <= RESUME_S
}

fn pause_after(standing: Standing) -> Pause {
    match standing {
        Standing::Whole => Pause::Short,
        Standing::MayGoOn => Pause::Middle,
        Standing::Unfinished => Pause::Long,
    }
}
