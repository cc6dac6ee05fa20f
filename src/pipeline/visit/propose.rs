//! Findings that were heard: kept, said back, and asked about where something is missing.

use crate::error::Result;
use crate::event::Event;
use crate::finding::Finding;
use crate::hear::Heard;
use crate::interpret::{Interpreter, Understood};
use crate::readback::{Proposal, SaidBack, question, sentence};
use crate::record::{ClipOf, Source};

use super::super::Second;
use super::super::second::in_doubt;
use super::{Visit, proposed};

impl Visit {
    pub(super) fn propose(
        &mut self,
        words: &str,
        findings: Vec<Finding>,
        amends: bool,
    ) -> Result<Vec<Event>> {
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
            // What was left for later is of something else than what comes now: later is now.
            let waits = self.settle.pending().last().map(|latest| latest.finding.clone());
            let goes_with = |new: &Finding| {
                let together = |one| self.said_back.together(self.grammar(), one, new);
                waits.as_ref().is_none_or(together)
            };
            if !findings.iter().all(goes_with) {
                events.extend(self.say_what_was_cut_short());
            }
            let later = self.said_back != SaidBack::Finding && findings.iter().all(Finding::is_settled);
            for finding in findings {
                let source = Source {
                    words: words.to_string(),
                    model: self.model.clone(),
                    grammar: self.grammar().version.clone(),
                };
                let id = self.record.propose(self.id, &finding, &source)?;
                match later {
                    true => self.told.later([id]),
                    false => {
                        self.told.telling([id]);
                        spoken.push(sentence(self.grammar(), &finding));
                    }
                }
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
        if !text.is_empty() {
            events.push(self.say(text));
        }
        events.extend(asked);
        Ok(events)
    }

    /// Keeps the sound of what has just been proposed, where the client allows it.
    pub(super) fn keep_sound(&mut self, heard: &Heard, events: &[Event]) -> Result<()> {
        for event in events {
            if let Event::Proposed { id, .. } = event {
                self.record
                    .keep_sound(self.id, ClipOf::Proposal(*id), &heard.utterance.samples)?;
            }
        }
        Ok(())
    }

    /// It may be said again and understood then.
    pub(super) fn learn_of_missed(&mut self, heard: &Heard, understood: &Understood) {
        if let Some(lessons) = &mut self.lessons {
            lessons.missed(&heard.free.text, 1.0 - understood.confidence, heard.end_s);
        }
    }

    /// Keeps what was heard of what has just been proposed, to learn from what becomes of it.
    pub(super) fn take_note(&mut self, understood: &Understood, heard: &Heard, events: &[Event]) {
        let proposed = events.iter().filter_map(|event| match event {
            Event::Proposed { id, .. } => Some(*id),
            _ => None,
        });
        let proposed: Vec<i64> = proposed.collect();
        if understood.reading.amends {
            return;
        }
        for &proposal in &proposed {
            // What can't be kept teaches nothing later, and is no loss to the record.
            let _ = self.record.keep_transcript(proposal, &heard.free.text);
        }
        if let Some(lessons) = &mut self.lessons {
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
    pub(super) fn ask_second(&mut self, before: Option<Interpreter>, heard: &Heard, events: &[Event]) {
        let proposed = events.iter().filter_map(|event| match event {
            Event::Proposed { id, finding } => Some((*id, finding.clone())),
            _ => None,
        });
        if let (Some(second), Some(before)) = (&mut self.second, before) {
            second.ask(proposed.collect(), heard.utterance.clone(), before);
        }
    }

    /// What the larger model read otherwise becomes a doubt of what waits.
    pub(super) fn hear_second(&mut self) -> Result<()> {
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
}
