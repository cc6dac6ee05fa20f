//! Words → reading: what an utterance says, given what was said before it. Pure: no sound, no file, no clock.

mod amend;
mod apply;
mod besides;
mod carry;
mod choose;
mod context;
mod correcting;
mod cover;
mod dictation;
mod doubts;
mod finish;
mod meanings;
mod note;
mod number;
mod query;
mod reckon;
mod resolve;
mod split;
mod subject;
mod talk;

use std::sync::Arc;

use crate::finding::{Control, Finding, Outcome};
use crate::grammar::Grammar;
use crate::grammar::fragment::{Fill, Slot};

pub use choose::{Belief, Candidate, Evidence, Fit, Standing, Understood};
pub(crate) use doubts::in_words;
pub use doubts::{mark as differ, value_of};
pub use query::{Sought, sought};

use context::Context;
use cover::{Part, cover};

/// What one utterance says.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    pub outcome: Outcome,
    /// The one finding completes or replaces the finding before; it is not a new one.
    pub amends: bool,
    /// The finding that a number was reckoned from, which is said when it is read back.
    pub from: Option<Finding>,
    /// The therapist's cue stood before it, or was all of it.
    pub cued: bool,
}

impl Reading {
    /// That of this one finding.
    pub fn of(finding: Finding, amends: bool) -> Reading {
        Reading {
            amends,
            ..new(Outcome::Finding {
                findings: vec![finding],
            })
        }
    }
}

/// Reads one dictation, utterance by utterance.
#[derive(Clone, Debug)]
pub struct Interpreter {
    grammar: Arc<Grammar>,
    context: Context,
    /// What each finding that may still be disregarded leaned on, the latest last.
    before: Vec<Context>,
    /// How much more every reading of sound is believed, in nats.
    shift: f32,
}

impl Interpreter {
    /// Reads with nothing said before.
    pub fn new(grammar: Arc<Grammar>) -> Interpreter {
        Interpreter {
            grammar,
            context: Context::default(),
            before: Vec::new(),
            shift: 0.0,
        }
    }

    /// Believes every reading of sound more from here on, or less, by so many nats.
    pub fn believe_more(&mut self, shift: f32) {
        self.shift = shift;
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
        let mut parts = cover(&self.grammar, &words);
        link(&self.grammar, &words, &mut parts);
        mark(&self.grammar, text, &mut parts);
        let cued = matches!(parts.first(), Some(first) if first.fill == Some(Fill::Cue));
        if cued {
            parts.remove(0);
        }
        let reading = match parts.first().and_then(|part| part.fill.as_ref()) {
            _ if talk::is_saying(&self.grammar, &words, &parts) => new(Outcome::Aside),
            Some(Fill::Note) => note::note(text, parts[0].span.1),
            Some(&Fill::Control {
                control,
                opens: false,
                ..
            }) => new(Outcome::Control {
                control,
                findings: Vec::new(),
            }),
            _ => self.understand(&words, &parts),
        };
        Reading { cued, ..reading }
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
}

/// "Left hip flexion active, that's one fifteen": between what was examined and what was found, such a word means nothing.
fn link(grammar: &Grammar, words: &[String], parts: &mut [Part]) {
    for at in 1..parts.len().saturating_sub(1) {
        let examined = parts[at - 1].slot();
        let links = parts[at].fill.is_none() && grammar.links.contains(&words[parts[at].span.0]);
        if links && (examined.is_subject() || examined == Slot::Mode) && parts[at + 1].slot().is_result() {
            parts[at].fill = Some(Fill::Filler { heard: false });
        }
    }
}

/// Notes before which parts a comma, or another mark that parts what is said, stands in the text.
fn mark(grammar: &Grammar, text: &str, parts: &mut [Part]) {
    let ends = text.char_indices().filter(|&(at, mark)| {
        MARKS.contains(&mark) && text[at + mark.len_utf8()..].starts_with(char::is_whitespace)
    });
    for (at, _) in ends {
        let before = grammar.words(&text[..at]).len();
        let next = parts
            .iter_mut()
            .find(|part| part.slot() != Slot::None && part.span.0 >= before);
        if let Some(part) = next {
            part.marked = true;
        }
    }
}

/// Marks that part one finding from the next.
const MARKS: [char; 4] = [',', ';', '.', ':'];

/// What the words of a text stand for, in order; `None` for a word that the grammar does not know there.
pub(crate) fn fills(grammar: &Grammar, text: &str) -> Vec<Option<Fill>> {
    let parts = cover(grammar, &grammar.words(text));
    parts.into_iter().map(|part| part.fill).collect()
}

/// Everything that the words of a text can mean.
pub fn every_fill(grammar: &Grammar, text: &str) -> Vec<Fill> {
    let parts = cover(grammar, &grammar.words(text));
    let meanings = |part: Part| part.fill.into_iter().chain(part.or);
    parts.into_iter().flat_map(meanings).collect()
}

fn new(outcome: Outcome) -> Reading {
    Reading {
        outcome,
        amends: false,
        from: None,
        cued: false,
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
