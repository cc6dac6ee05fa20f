//! Heard → reading → proposal → confirmed finding → record.

mod let_in;
mod missed;
mod obey;
mod propose;
mod take_back;
mod told;
mod touch;

use std::sync::Arc;

use crate::error::Result;
use crate::event::Event;
use crate::finding::{Control, Finding, Outcome};
use crate::grammar::Grammar;
use crate::hear::Heard;
use crate::interpret::{Interpreter, Reading, Understood};
use crate::learn::Lessons;
use crate::own_file::OwnFileError;
use crate::readback::{Proposal, SaidBack, Settle, clause};
use crate::record::{Record, TalkKept, VisitId};

use super::{Second, WayIn};
use told::Told;
pub use touch::TYPED;

/// One client's visit while it is dictated.
pub struct Visit {
    interpreter: Interpreter,
    settle: Settle,
    record: Record,
    id: VisitId,
    client: String,
    model: String,
    standing_by: bool,
    /// Something was said since the last read-back that was not understood: it may have been a correction.
    missed_something: bool,
    /// How often in a row something was not understood.
    tries: u32,
    told: Told,
    way_in: WayIn,
    /// Where the cue ended that nothing was dictated after yet, in seconds.
    cue_ended_s: Option<f64>,
    said_back: SaidBack,
    talk_kept: TalkKept,
    second: Option<Second>,
    lessons: Option<Lessons>,
    not_learnt: Option<OwnFileError>,
    last_said: Option<String>,
}

impl Visit {
    /// Opens today's visit of a client, who is added to the record if not there. What waited when the program last
    /// ended waits again.
    pub fn open(mut record: Record, client: &str, model: &str, grammar: Arc<Grammar>) -> Result<Visit> {
        let id = record.visit_for(client)?;
        let mut interpreter = Interpreter::new(grammar);
        let mut settle = Settle::default();
        for proposal in record.pending(id)? {
            interpreter.follow(&Reading::of(proposal.finding.clone(), false));
            settle.propose(proposal);
        }
        Ok(Visit {
            interpreter,
            settle,
            record,
            id,
            client: client.to_string(),
            model: model.to_string(),
            standing_by: false,
            missed_something: false,
            tries: 0,
            told: Told::default(),
            way_in: WayIn::default(),
            cue_ended_s: None,
            said_back: SaidBack::default(),
            talk_kept: TalkKept::default(),
            second: None,
            lessons: None,
            not_learnt: None,
            last_said: None,
        })
    }

    /// How much is dictated before it is said back.
    #[must_use]
    pub fn said_back(self, said_back: SaidBack) -> Visit {
        Visit { said_back, ..self }
    }

    /// How long talk that is no dictation is kept.
    #[must_use]
    pub fn keep_talk(self, talk_kept: TalkKept) -> Visit {
        Visit { talk_kept, ..self }
    }

    /// What lets dictation in.
    #[must_use]
    pub fn let_in_by(self, way_in: WayIn) -> Visit {
        Visit { way_in, ..self }
    }

    /// The client allows that the sound of what is dictated is kept, or does not. `None`: as was said before in this visit.
    ///
    /// # Errors
    /// The record cannot be written.
    pub fn allow_sound(mut self, allowed: Option<bool>) -> Result<Visit> {
        if let Some(allowed) = allowed {
            self.record.allow_sound(self.id, allowed)?;
        }
        Ok(self)
    }

    /// A larger model hears what is proposed too; what it reads otherwise is asked about before it is recorded.
    #[must_use]
    pub fn with_second(self, second: Second) -> Visit {
        Visit {
            second: Some(second),
            ..self
        }
    }

    /// What the therapist corrects, drops and says again is learnt from; `shift` is how much more is believed by what was
    /// learnt before, in nats.
    #[must_use]
    pub fn with_lessons(mut self, lessons: Lessons, shift: f32) -> Visit {
        self.interpreter.believe_more(shift);
        self.lessons = Some(lessons);
        self
    }

    /// What still waits from before the program last ended, read back.
    pub fn begin(&mut self) -> Vec<Event> {
        if self.settle.pending().is_empty() {
            return Vec::new();
        }
        let mut events: Vec<Event> = self.settle.pending().iter().map(proposed).collect();
        events.extend(self.read_back());
        events
    }

    /// Why what the latest confirmed findings taught could not be kept, once. The findings themselves are recorded.
    pub fn not_learnt(&mut self) -> Option<OwnFileError> {
        self.not_learnt.take()
    }

    /// Whether nothing is listened to but a word that ends that.
    pub fn is_standing_by(&self) -> bool {
        self.standing_by
    }

    /// Whether the client allows that sound is kept in this visit; `None`: nobody has said.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn is_sound_allowed(&self) -> Result<Option<bool>> {
        Ok(self.record.is_sound_allowed(self.id)?)
    }

    /// What reads what is heard, with what was said before.
    pub fn interpreter(&self) -> &Interpreter {
        &self.interpreter
    }

    /// What was being said has been heard to its end.
    pub fn was_told(&mut self) {
        self.told.heard_out();
    }

    /// What was being said was not heard to its end: before it can be confirmed it is said again.
    pub fn was_cut_short(&mut self) {
        self.told.cut_short();
    }

    /// What was not said back, or not heard to its end, is said with all that waits; nothing if there is nothing.
    pub fn say_what_was_cut_short(&mut self) -> Vec<Event> {
        match self
            .settle
            .pending()
            .iter()
            .any(|p| self.told.is_to_be_told(p.id))
        {
            true => self.read_back(),
            false => Vec::new(),
        }
    }

    /// Does what an utterance asks for. Returns what happened, in order.
    ///
    /// # Errors
    /// It could not be written, or not all of it: what comes next does not lean on it, and what waits of it is said before it can
    /// be confirmed.
    pub fn take(&mut self, heard: &Heard) -> Result<Vec<Event>> {
        let before = self.interpreter.clone();
        let done = self.answer(heard);
        if done.is_err() {
            self.interpreter = before;
            // What was written before it failed waits, and nobody has heard it.
            self.told.cut_short();
        }
        done
    }

    fn answer(&mut self, heard: &Heard) -> Result<Vec<Event>> {
        let understood = self.interpreter.choose(heard);
        if self.standing_by && !is(&understood, Control::Resume) {
            return Ok(Vec::new());
        }
        let (start_s, end_s) = (heard.start_s, heard.end_s);
        let words = understood.words.clone();
        let let_in = self.lets_in(heard, &understood);
        let opened = self.heed_cue(heard, &understood);
        if let Some(opened) = opened {
            return Ok(vec![opened]);
        }
        if !let_in {
            return Ok(vec![self.aside(heard, words)]);
        }
        let mut events = match &understood.reading.outcome {
            // Said over the program's voice, what waits already is no news, and may be that voice.
            Outcome::Finding { findings } if heard.over_voice && self.wait_already(findings) => {
                return Ok(vec![Event::Aside {
                    heard: words,
                    start_s,
                    end_s,
                }]);
            }
            // Its beginning may be lost in that voice: what does not stand for itself is asked for again.
            Outcome::Finding { .. } if heard.over_voice && !self.stands_alone(heard, &understood) => {
                let why = self.grammar().readback.answer.spoken_over.clone();
                return self.miss(heard, words, why);
            }
            Outcome::Aside => {
                self.learn_of_missed(heard, &understood);
                return Ok(vec![self.aside(heard, words)]);
            }
            Outcome::Unclear { why } => {
                let why = why.clone();
                self.learn_of_missed(heard, &understood);
                return self.miss(heard, words, why);
            }
            _ => vec![Event::Heard {
                heard: words,
                start_s,
                end_s,
                confidence: understood.confidence,
                decode_ms: heard.took.as_millis() as u64,
            }],
        };
        self.tries = 0;
        match understood.reading.outcome.clone() {
            Outcome::Finding { findings } => {
                let amends = understood.reading.amends && !self.settle.pending().is_empty();
                let before = self.second.is_some().then(|| self.interpreter.clone());
                self.interpreter.follow(&understood.reading);
                events.extend(self.propose(&understood.words, findings, amends)?);
                self.ask_second(before.filter(|_| !amends), heard, &events);
                self.take_note(&understood, heard, &events);
                self.keep_sound(heard, &events)?;
                if let Some(from) = &understood.reading.from {
                    let reckoned = &self.grammar().readback.answer.reckoned;
                    let text = reckoned.replace("{}", &clause(self.grammar(), from));
                    events.push(self.say(text));
                }
            }
            Outcome::Control { control, findings } => {
                // Nobody can confirm what the program is still saying; nor can the program.
                self.missed_something |=
                    heard.over_voice && matches!(control, Control::Confirm | Control::ConfirmLast);
                events.extend(self.obey(control, findings.into_iter().next(), &understood)?);
            }
            Outcome::Aside | Outcome::Unclear { .. } => {}
        }
        Ok(events)
    }

    /// Talk: nothing is done with it, and its words are kept as long as the therapist has chosen.
    fn aside(&mut self, heard: &Heard, words: String) -> Event {
        if self.talk_kept == TalkKept::UntilReviewed && !words.is_empty() {
            // Where it can't be written nothing is lost that was meant for the record, and what is meant for it will tell.
            let _ = self.record.keep_aside(self.id, &words);
        }
        Event::Aside {
            heard: words,
            start_s: heard.start_s,
            end_s: heard.end_s,
        }
    }

    /// Whether it means the same without what was said before.
    fn stands_alone(&self, heard: &Heard, understood: &Understood) -> bool {
        let mut alone = self.interpreter.clone();
        alone.forget();
        alone.choose(heard).reading.outcome == understood.reading.outcome
    }

    /// Whether all that these say is said by what waits already.
    pub(super) fn wait_already(&self, findings: &[Finding]) -> bool {
        let pending = self.settle.pending();
        let waits = |finding: &Finding| pending.iter().any(|p| finding.is_part_of(&p.finding));
        findings.iter().all(waits)
    }

    fn say(&mut self, text: String) -> Event {
        self.last_said = Some(text.clone());
        Event::Said { text }
    }

    fn grammar(&self) -> &Grammar {
        self.interpreter.grammar()
    }
}

fn proposed(proposal: &Proposal) -> Event {
    Event::Proposed {
        id: proposal.id,
        finding: proposal.finding.clone(),
    }
}

fn is(understood: &Understood, wanted: Control) -> bool {
    matches!(understood.reading.outcome, Outcome::Control { control, .. } if control == wanted)
}
