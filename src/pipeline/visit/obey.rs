//! Control words: what each does to what waits.

use crate::error::Result;
use crate::event::Event;
use crate::finding::{Control, Finding};
use crate::interpret::{Reading, Understood};
use crate::readback::{Proposal, Step, clause, question, sentence};

use super::super::cautions;
use super::super::remains::remains;
use super::Visit;

impl Visit {
    pub(super) fn obey(
        &mut self,
        control: Control,
        corrected: Option<Finding>,
        understood: &Understood,
    ) -> Result<Vec<Event>> {
        let answer = self.grammar().readback.answer.clone();
        Ok(match control {
            Control::Confirm | Control::ConfirmLast => {
                let events = self.confirm(control == Control::ConfirmLast)?;
                if events.iter().any(|event| matches!(event, Event::Recorded { .. })) {
                    self.interpreter.follow(&understood.reading);
                }
                events
            }
            Control::Disregard => match self.settle.disregard() {
                None => self.disregard_nothing()?,
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

    /// Records what waits and was said back to its end, or of it only the last; what the disk refuses waits on. What was not said
    /// back is said back then. If something was not understood since, all is said back once more first: the therapist may
    /// believe it corrected.
    pub(super) fn confirm(&mut self, only_last: bool) -> Result<Vec<Event>> {
        if std::mem::take(&mut self.missed_something) {
            if !self.settle.pending().is_empty() {
                return Ok(self.read_back());
            }
            if let Some(finding) = self.settle.asked_back().cloned() {
                return Ok(vec![self.ask_back(&finding)]);
            }
        }
        let pending = self.settle.pending();
        let told = pending
            .iter()
            .map(|p| p.id)
            .filter(|id| !self.told.is_to_be_told(*id));
        let mut meant: Vec<i64> = told.collect();
        let last = pending.last().map(|last| last.id);
        if only_last {
            meant.retain(|id| Some(*id) == last);
        }
        if meant.is_empty() && !pending.is_empty() {
            return Ok(self.read_back());
        }
        self.hear_second()?;
        let answer = self.grammar().readback.answer.clone();
        let confirmed = match self.settle.confirm_only(|proposal| meant.contains(&proposal.id)) {
            Step::NothingPending => return Ok(vec![self.say(answer.nothing_pending)]),
            Step::TakeBack(taken_back) => return self.take_back(&taken_back),
            Step::Ask(open) => {
                // What is said next answers this, whatever was dictated after it.
                self.interpreter.follow(&Reading::of(open.finding.clone(), true));
                self.told.telling([open.id]);
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
            // The findings are safe; that what was learnt can't be kept is told beside.
            self.not_learnt = lessons.recorded(&ids).err();
        }
        let cautions = self.cautions(&events)?;
        events.push(self.say(answer.recorded));
        events.extend(cautions);
        events.extend(self.say_what_was_cut_short());
        Ok(events)
    }

    /// What usually goes with what was just recorded.
    fn cautions(&mut self, recorded: &[Event]) -> Result<Vec<Event>> {
        let mut all = Vec::new();
        for event in recorded {
            let Event::Recorded { id, .. } = event else {
                continue;
            };
            let grammar = self.interpreter.grammar();
            let met = cautions::cautions(&mut self.record, grammar, *id)?;
            all.extend(
                met.into_iter()
                    .map(|caution| cautions::told(grammar, *id, caution)),
            );
        }
        Ok(all)
    }

    pub(super) fn replace_latest(&mut self, finding: &Finding, words: &str) -> Result<Option<Proposal>> {
        let Some(latest) = self.settle.pending().last() else {
            return Ok(None);
        };
        self.told.telling([latest.id]);
        self.record.correct_proposal(latest.id, finding, words)?;
        Ok(self.settle.correct(finding.clone()).cloned())
    }

    pub(super) fn read_back(&mut self) -> Vec<Event> {
        let answer = self.grammar().readback.answer.clone();
        if self.settle.pending().is_empty() {
            return vec![self.say(answer.nothing_pending)];
        }
        self.missed_something = false;
        self.told.telling(self.settle.pending().iter().map(|p| p.id));
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
    pub(super) fn what_remains(&self) -> Result<Vec<String>> {
        let Some(last) = self.interpreter.last() else {
            return Ok(Vec::new());
        };
        let case = self.record.case(&self.client)?;
        let visit = case.visits.last().into_iter();
        let recorded = visit.flat_map(|visit| visit.findings.iter().map(|kept| &kept.finding));
        let waiting = self.settle.pending().iter().map(|proposal| &proposal.finding);
        Ok(remains(self.grammar(), last, recorded.chain(waiting)))
    }
}
