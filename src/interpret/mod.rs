//! Words → reading: what an utterance says, given what was said before it. Pure: no sound, no file, no clock.

mod amend;
mod apply;
mod carry;
mod choose;
mod context;
mod cover;
mod doubts;
mod note;
mod number;
mod reckon;
mod resolve;
mod split;
mod subject;
mod talk;

use std::sync::Arc;

use crate::finding::{Control, Finding, Outcome};
use crate::grammar::Grammar;
use crate::grammar::fragment::{Fill, Slot};

pub use choose::Understood;

use context::Context;
use cover::{Part, cover};

/// What one utterance says.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    pub outcome: Outcome,
    /// The one finding completes or replaces the finding before; it is not a new one.
    pub amends: bool,
}

/// Reads one dictation, utterance by utterance.
#[derive(Clone, Debug)]
pub struct Interpreter {
    grammar: Arc<Grammar>,
    context: Context,
    /// What each finding that may still be disregarded leaned on, the latest last.
    before: Vec<Context>,
}

/// An utterance with an unknown word is asked about, not passed over, if at most this share of it is unknown.
const MOST_UNKNOWN: f64 = 0.25;

impl Interpreter {
    /// Reads with nothing said before.
    pub fn new(grammar: Arc<Grammar>) -> Interpreter {
        Interpreter {
            grammar,
            context: Context::default(),
            before: Vec::new(),
        }
    }

    /// The words that it reads with.
    pub fn grammar(&self) -> &Arc<Grammar> {
        &self.grammar
    }

    /// The finding before, if there was one.
    pub fn last(&self) -> Option<&Finding> {
        self.context.last.as_ref()
    }

    /// Forgets what was said before: another client, another visit.
    pub fn forget(&mut self) {
        self.context = Context::default();
        self.before.clear();
    }

    /// Reads an utterance and lets the next one lean on it.
    pub fn read(&mut self, text: &str) -> Reading {
        let reading = self.peek(text);
        self.follow(&reading);
        reading
    }

    /// Reads an utterance without letting the next one lean on it.
    pub fn peek(&self, text: &str) -> Reading {
        let words = self.grammar.words(text);
        let parts = cover(&self.grammar, &words);
        match parts.first().and_then(|part| part.fill.as_ref()) {
            _ if talk::is_saying(&self.grammar, &words, &parts) => new(Outcome::Aside),
            Some(Fill::Note) => note::note(text, parts[0].span.1),
            Some(&Fill::Control {
                control,
                opens: false,
            }) => new(Outcome::Control {
                control,
                findings: Vec::new(),
            }),
            _ => self.understand(&words, &parts),
        }
    }

    /// Reads `parts`, which cover a stretch of `words`.
    fn understand(&self, words: &[String], parts: &[Part]) -> Reading {
        let opens = |part: &Part| match part.fill {
            Some(Fill::Control { control, opens: true }) => Some(control),
            _ => None,
        };
        let Some(at) = parts.iter().rposition(|part| opens(part).is_some()) else {
            return self.dictation(words, parts);
        };
        let (said, changes) = (&parts[..at], named(&parts[at + 1..]));
        let unknown = parts[at + 1..].iter().any(|part| part.fill.is_none());
        if said
            .iter()
            .all(|part| part.fill.is_some() && part.slot() == Slot::None && opens(part).is_none())
        {
            let control = opens(&parts[at]).unwrap_or(Control::Correction);
            return self.correction(control, &changes, unknown);
        }
        // In one breath with what it corrects.
        let mut reading = self.understand(words, said);
        if let Outcome::Finding { findings } | Outcome::Control { findings, .. } = &mut reading.outcome
            && let Some(last) = findings.last_mut()
        {
            match amend::correct(&self.grammar, last, &changes) {
                Ok(corrected) if !unknown => *last = corrected,
                Ok(_) => return unclear(NOT_UNDERSTOOD),
                Err(why) => return unclear(&why),
            }
        }
        reading
    }

    fn dictation(&self, words: &[String], parts: &[Part]) -> Reading {
        let unknown: Vec<&String> = parts
            .iter()
            .filter(|part| part.fill.is_none())
            .map(|part| &words[part.span.0])
            .collect();
        let named = named(parts);
        let context = named.iter().any(|part| part.slot().is_context());
        let result = named.iter().any(|part| part.slot().is_result());
        if !unknown.is_empty() {
            let talk = unknown.iter().any(|word| self.grammar.talk.contains(*word));
            let length: usize = parts.iter().map(|part| part.span.1 - part.span.0).sum();
            let near = unknown.len() as f64 <= MOST_UNKNOWN * length as f64;
            return if context && result && ((near && !talk) || talk::speaks_the_trade(&named)) {
                unclear("there is a word in it that I do not know")
            } else {
                new(Outcome::Aside)
            };
        }
        if talk::is_only_a_word(&self.context, &named) {
            return new(Outcome::Aside);
        }
        if let Some(last) = &self.context.last
            && let Some(completed) = amend::complete(&self.grammar, last, &named)
        {
            return Reading {
                outcome: Outcome::Finding {
                    findings: vec![completed],
                },
                amends: true,
            };
        }
        match self.findings(&named, words) {
            Ok(findings) => new(Outcome::Finding { findings }),
            Err(_) if !result && named.iter().all(talk::is_place) => new(Outcome::Aside),
            // Numbers and words that belong to nothing.
            Err(_) if !context && self.context.is_empty() => new(Outcome::Aside),
            Err(why) => unclear(&why),
        }
    }

    /// Lets the next utterance lean on this reading. After `disregard` the next one leans on what was there before
    /// the finding that was dropped.
    pub fn follow(&mut self, reading: &Reading) {
        match &reading.outcome {
            Outcome::Finding { findings } => {
                for finding in findings {
                    if !reading.amends && !self.context.only_names() {
                        self.before.push(self.context.clone());
                    }
                    self.context.follow(finding);
                }
            }
            Outcome::Control {
                control: Control::Confirm,
                ..
            } => {
                if self.context.last.as_ref().is_none_or(Finding::is_settled) {
                    self.before.clear();
                }
            }
            Outcome::Control {
                control: Control::Disregard,
                ..
            } => {
                if let Some(before) = self.before.pop() {
                    self.context = before;
                }
            }
            Outcome::Control { findings, .. } => {
                for finding in findings {
                    self.context.follow(finding);
                }
            }
            Outcome::Aside | Outcome::Unclear { .. } => {}
        }
    }

    fn findings(&self, parts: &[Part], words: &[String]) -> Result<Vec<Finding>, String> {
        let mut context = self.context.clone();
        let mut findings = Vec::new();
        for draft in split::split(parts)? {
            for finding in resolve::resolve(&self.grammar, &draft, words, &context)? {
                context.follow(&finding);
                findings.push(finding);
            }
        }
        Ok(findings)
    }

    fn correction(&self, control: Control, changes: &[Part], unknown: bool) -> Reading {
        let findings = match &self.context.last {
            _ if unknown => return unclear(NOT_UNDERSTOOD),
            Some(last) if !changes.is_empty() => match amend::correct(&self.grammar, last, changes) {
                Ok(corrected) => vec![corrected],
                Err(why) => return unclear(&why),
            },
            _ => Vec::new(),
        };
        Reading {
            outcome: Outcome::Control { control, findings },
            amends: true,
        }
    }
}

/// What the words of a text stand for, in order; `None` for a word that the grammar does not know there.
pub fn fills(grammar: &Grammar, text: &str) -> Vec<Option<Fill>> {
    let parts = cover(grammar, &grammar.words(text));
    parts.into_iter().map(|part| part.fill).collect()
}

const NOT_UNDERSTOOD: &str = "I did not understand what to correct";

fn new(outcome: Outcome) -> Reading {
    Reading {
        outcome,
        amends: false,
    }
}

fn unclear(why: &str) -> Reading {
    new(Outcome::Unclear { why: why.into() })
}

/// The parts that say something of a finding.
fn named(parts: &[Part]) -> Vec<Part> {
    parts
        .iter()
        .filter(|part| part.slot() != Slot::None)
        .cloned()
        .collect()
}
