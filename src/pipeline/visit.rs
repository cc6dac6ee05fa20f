//! Heard → reading → proposal → confirmed finding → record.

use std::sync::Arc;

use crate::error::Result;
use crate::event::Event;
use crate::finding::{Control, Finding, Outcome};
use crate::grammar::Grammar;
use crate::hear::Heard;
use crate::interpret::{Interpreter, Reading, Understood};
use crate::learn::Lessons;
use crate::readback::{Proposal, Settle, Step, clause, question, sentence};
use crate::record::{Record, Source, VisitId};

use super::Second;
use super::remains::remains;
use super::second::in_doubt;

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
    second: Option<Second>,
    lessons: Option<Lessons>,
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
            let findings = vec![proposal.finding.clone()];
            interpreter.follow(&Reading {
                outcome: Outcome::Finding { findings },
                amends: false,
                from: None,
            });
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
            second: None,
            lessons: None,
            last_said: None,
        })
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

    /// What reads what is heard, with what was said before.
    pub fn interpreter(&self) -> &Interpreter {
        &self.interpreter
    }

    /// Does what an utterance asks for. Returns what happened, in order.
    pub fn take(&mut self, heard: &Heard) -> Result<Vec<Event>> {
        let understood = self.interpreter.choose(heard);
        if self.standing_by && !is(&understood, Control::Resume) {
            return Ok(Vec::new());
        }
        let (start_s, end_s) = (heard.start_s, heard.end_s);
        let words = understood.words.clone();
        let mut events = match &understood.reading.outcome {
            Outcome::Aside => {
                self.learn_of_missed(heard, &understood);
                return Ok(vec![Event::Aside {
                    heard: words,
                    start_s,
                    end_s,
                }]);
            }
            Outcome::Unclear { why } => {
                let why = why.clone();
                self.missed_something = true;
                self.learn_of_missed(heard, &understood);
                let mut events = vec![Event::Unclear {
                    heard: words,
                    start_s,
                    end_s,
                    why,
                }];
                events.push(self.say(self.grammar().readback.answer.unclear.clone()));
                return Ok(events);
            }
            _ => vec![Event::Heard {
                heard: words,
                start_s,
                end_s,
                confidence: understood.confidence,
                decode_ms: heard.took.as_millis() as u64,
            }],
        };
        match understood.reading.outcome.clone() {
            Outcome::Finding { findings } => {
                let amends = understood.reading.amends && !self.settle.pending().is_empty();
                let before = self.second.is_some().then(|| self.interpreter.clone());
                self.interpreter.follow(&understood.reading);
                events.extend(self.propose(&understood.words, findings, amends)?);
                self.ask_second(before.filter(|_| !amends), heard, &events);
                self.take_note(&understood, heard, &events);
                if let Some(from) = &understood.reading.from {
                    let reckoned = &self.grammar().readback.answer.reckoned;
                    let text = reckoned.replace("{}", &clause(self.grammar(), from));
                    events.push(self.say(text));
                }
            }
            Outcome::Control { control, findings } => {
                events.extend(self.obey(control, findings.into_iter().next(), &understood)?);
            }
            Outcome::Aside | Outcome::Unclear { .. } => {}
        }
        Ok(events)
    }

    fn propose(&mut self, words: &str, findings: Vec<Finding>, amends: bool) -> Result<Vec<Event>> {
        let mut events = Vec::new();
        let mut spoken = Vec::new();
        if amends && let [finding] = findings.as_slice() {
            events.extend(self.replace_latest(finding, words)?.as_ref().map(proposed));
            spoken.push(sentence(self.grammar(), finding));
        } else {
            if let Some(named_only) = self.settle.supersede() {
                self.record.disregard(named_only.id)?;
                events.push(Event::Disregarded {
                    id: named_only.id,
                    finding: named_only.finding,
                });
            }
            for finding in findings {
                let source = Source {
                    words: words.to_string(),
                    model: self.model.clone(),
                    grammar: self.grammar().version.clone(),
                };
                let id = self.record.propose(self.id, &finding, &source)?;
                spoken.push(sentence(self.grammar(), &finding));
                let proposal = Proposal {
                    id,
                    finding,
                    heard: words.to_string(),
                };
                events.push(proposed(&proposal));
                self.settle.propose(proposal);
            }
        }
        self.missed_something = false;
        let text = spoken.join(" ");
        let asked = self.settle.pending().last().and_then(|latest| {
            let question = question(self.grammar(), &latest.finding)?;
            Some(Event::Asked {
                question,
                id: latest.id,
            })
        });
        let text = match &asked {
            Some(Event::Asked { question, .. }) => format!("{text} {question}"),
            _ => text,
        };
        events.push(self.say(text));
        events.extend(asked);
        Ok(events)
    }

    /// It may be said again and understood then.
    fn learn_of_missed(&mut self, heard: &Heard, understood: &Understood) {
        if let Some(lessons) = &mut self.lessons {
            lessons.missed(&heard.free.text, 1.0 - understood.confidence, heard.end_s);
        }
    }

    /// Keeps what was heard of what has just been proposed, to learn from what becomes of it.
    fn take_note(&mut self, understood: &Understood, heard: &Heard, events: &[Event]) {
        let proposed = events.iter().filter_map(|event| match event {
            Event::Proposed { id, .. } => Some(*id),
            _ => None,
        });
        if let Some(lessons) = self.lessons.as_mut().filter(|_| !understood.reading.amends) {
            let proposed: Vec<i64> = proposed.collect();
            let span = (heard.start_s, heard.end_s);
            lessons.proposed(
                &proposed,
                &heard.free.text,
                &understood.words,
                understood.confidence,
                span,
            );
        }
    }

    /// Asks the larger model about what has just been proposed.
    fn ask_second(&mut self, before: Option<Interpreter>, heard: &Heard, events: &[Event]) {
        let proposed = events.iter().filter_map(|event| match event {
            Event::Proposed { id, finding } => Some((*id, finding.clone())),
            _ => None,
        });
        if let (Some(second), Some(before)) = (&mut self.second, before) {
            second.ask(proposed.collect(), heard.utterance.clone(), before);
        }
    }

    /// What the larger model read otherwise becomes a doubt of what waits.
    fn hear_second(&mut self) -> Result<()> {
        let answers = self.second.as_mut().map(Second::answers).unwrap_or_default();
        for (id, doubts) in answers {
            // What was corrected meanwhile, in so many words, was said twice already.
            let waiting = self.settle.pending().iter().find(|proposal| proposal.id == id);
            let Some(waiting) = waiting else { continue };
            if let Some(finding) = in_doubt(&waiting.finding, doubts) {
                self.record.correct_proposal(id, &finding, &waiting.heard)?;
                self.settle.amend(id, finding);
            }
        }
        Ok(())
    }

    fn obey(
        &mut self,
        control: Control,
        corrected: Option<Finding>,
        understood: &Understood,
    ) -> Result<Vec<Event>> {
        let answer = self.grammar().readback.answer.clone();
        Ok(match control {
            Control::Confirm => {
                let events = self.confirm()?;
                if events.iter().any(|event| matches!(event, Event::Recorded { .. })) {
                    self.interpreter.follow(&understood.reading);
                }
                events
            }
            Control::Disregard => match self.settle.disregard() {
                None => vec![self.say(answer.nothing_pending)],
                Some(proposal) => {
                    self.record.disregard(proposal.id)?;
                    if let Some(lessons) = &mut self.lessons {
                        lessons.dropped(proposal.id);
                    }
                    // What comes next must not lean on what was dropped.
                    self.interpreter.follow(&understood.reading);
                    let dropped = Event::Disregarded {
                        id: proposal.id,
                        finding: proposal.finding,
                    };
                    vec![dropped, self.say(answer.disregarded)]
                }
            },
            Control::Correction => match corrected {
                Some(finding) if !self.settle.pending().is_empty() => {
                    self.interpreter.follow(&understood.reading);
                    let replaced = self.replace_latest(&finding, &understood.words)?;
                    if let (Some(lessons), Some(replaced)) = (&mut self.lessons, &replaced) {
                        lessons.corrected(replaced.id, &understood.words);
                    }
                    let mut events: Vec<Event> = replaced
                        .into_iter()
                        .map(|p| Event::Corrected {
                            id: p.id,
                            finding: p.finding,
                        })
                        .collect();
                    let text = answer.corrected.replace("{}", &clause(self.grammar(), &finding));
                    let question = question(self.grammar(), &finding);
                    events.push(
                        self.say(
                            [Some(text), question]
                                .into_iter()
                                .flatten()
                                .collect::<Vec<_>>()
                                .join(" "),
                        ),
                    );
                    events
                }
                Some(_) => vec![self.say(answer.nothing_pending)],
                None => vec![self.say(answer.unclear)],
            },
            Control::SayAgain => {
                let again = self.last_said.clone().unwrap_or(answer.nothing_pending);
                vec![self.say(again)]
            }
            Control::ReadBack => self.read_back(),
            Control::StandBy => {
                self.standing_by = true;
                vec![self.say(answer.standing_by)]
            }
            Control::Resume => {
                self.standing_by = false;
                vec![self.say(answer.resumed)]
            }
            Control::WhatRemains => {
                let remains = self.what_remains()?;
                vec![self.say(match remains.is_empty() {
                    true => answer.nothing_remains,
                    false => answer.remains.replace("{}", &remains.join(", ")),
                })]
            }
            Control::Hold => vec![self.say(answer.hold)],
        })
    }

    /// Records everything that waits. What the disk refuses waits on. If something was not understood since it was
    /// said back, it is said back once more first: the therapist may believe it corrected.
    fn confirm(&mut self) -> Result<Vec<Event>> {
        if std::mem::take(&mut self.missed_something) && !self.settle.pending().is_empty() {
            return Ok(self.read_back());
        }
        self.hear_second()?;
        let answer = self.grammar().readback.answer.clone();
        let confirmed = match self.settle.confirm() {
            Step::NothingPending => return Ok(vec![self.say(answer.nothing_pending)]),
            Step::Ask(open) => {
                // What is said next answers this, whatever was dictated after it.
                self.interpreter.follow(&Reading {
                    outcome: Outcome::Finding {
                        findings: vec![open.finding.clone()],
                    },
                    amends: true,
                    from: None,
                });
                let question = question(self.grammar(), &open.finding).unwrap_or(answer.unclear);
                let text = format!("{} {question}", sentence(self.grammar(), &open.finding));
                return Ok(vec![
                    self.say(text),
                    Event::Asked {
                        question,
                        id: open.id,
                    },
                ]);
            }
            Step::Confirmed(confirmed) => confirmed,
        };
        let mut events = Vec::new();
        for (done, finding) in confirmed.iter().enumerate() {
            match self.record.confirm(self.id, finding) {
                Ok(recorded) => events.push(Event::Recorded {
                    id: recorded.id,
                    finding: finding.proposal().finding.clone(),
                    at: recorded.at,
                }),
                Err(error) => {
                    self.settle.restore(confirmed[done..].to_vec());
                    return Err(error.into());
                }
            }
        }
        if let Some(lessons) = &mut self.lessons {
            let ids: Vec<i64> = confirmed.iter().map(|finding| finding.proposal().id).collect();
            // What can't be kept is only what was learnt: the findings are safe, and the next session says so.
            lessons.recorded(&ids).ok();
        }
        events.push(self.say(answer.recorded));
        Ok(events)
    }

    fn replace_latest(&mut self, finding: &Finding, words: &str) -> Result<Option<Proposal>> {
        let Some(latest) = self.settle.pending().last() else {
            return Ok(None);
        };
        self.record.correct_proposal(latest.id, finding, words)?;
        Ok(self.settle.correct(finding.clone()).cloned())
    }

    fn read_back(&mut self) -> Vec<Event> {
        let answer = &self.grammar().readback.answer;
        if self.settle.pending().is_empty() {
            return vec![self.say(answer.nothing_pending.clone())];
        }
        let clauses: Vec<String> = self
            .settle
            .pending()
            .iter()
            .map(|proposal| clause(self.grammar(), &proposal.finding))
            .collect();
        let text = answer.waiting.replace("{}", &clauses.join("; "));
        vec![self.say(text)]
    }

    /// What has not been examined of the movement at hand, see [`remains`].
    fn what_remains(&self) -> Result<Vec<String>> {
        let Some(last) = self.interpreter.last() else {
            return Ok(Vec::new());
        };
        let case = self.record.case(&self.client)?;
        let visit = case.visits.last().into_iter();
        let recorded = visit.flat_map(|visit| visit.findings.iter().map(|kept| &kept.finding));
        let waiting = self.settle.pending().iter().map(|proposal| &proposal.finding);
        Ok(remains(self.grammar(), last, recorded.chain(waiting)))
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
