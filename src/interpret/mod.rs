//! Words → reading: what an utterance says, given what was said before it. Pure: no sound, no file, no clock.

mod amend;
mod apply;
mod choose;
mod context;
mod cover;
mod doubts;
mod resolve;
mod split;

use std::sync::Arc;

use crate::finding::{Control, Finding, Kind, Outcome};
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
}

/// An utterance with an unknown word is asked about, not passed over, if at most this share of it is unknown.
const MOST_UNKNOWN: f64 = 0.25;

/// Different places named that make an utterance dictation; one fewer if the mode is among them, which clients are
/// never told.
const TRADE_PLACES: usize = 4;

impl Interpreter {
    /// Reads with nothing said before.
    pub fn new(grammar: Arc<Grammar>) -> Interpreter {
        Interpreter {
            grammar,
            context: Context::default(),
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
        let unclear = |why: &str| Reading {
            outcome: Outcome::Unclear { why: why.into() },
            amends: false,
        };
        let new = |outcome| Reading {
            outcome,
            amends: false,
        };
        match parts.first().and_then(|part| part.fill.clone()) {
            Some(Fill::Control {
                control,
                opens: false,
            }) => {
                return new(Outcome::Control {
                    control,
                    findings: Vec::new(),
                });
            }
            Some(Fill::Control { control, opens: true }) => {
                return self.correction(control, &parts[1..], words.len());
            }
            Some(Fill::Note) => return self.note(text, parts[0].span.1),
            _ => {}
        }
        let unknown: Vec<&str> = parts
            .iter()
            .filter(|part| part.fill.is_none())
            .map(|part| words[part.span.0].as_str())
            .collect();
        let named: Vec<Part> = parts
            .iter()
            .filter(|part| part.slot() != Slot::None)
            .cloned()
            .collect();
        if !unknown.is_empty() {
            let talk = unknown.iter().any(|word| self.grammar.talk.contains(*word));
            let near = unknown.len() as f64 <= MOST_UNKNOWN * words.len() as f64;
            let said = |wanted: fn(Slot) -> bool| named.iter().any(|part| wanted(part.slot()));
            let dictated = said(Slot::is_context) && said(Slot::is_result);
            return if dictated && ((near && !talk) || speaks_the_trade(&named)) {
                unclear("there is a word in it that I do not know")
            } else {
                new(Outcome::Aside)
            };
        }
        if named.is_empty() || self.is_only_a_word(&named) {
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
        match self.findings(named) {
            Ok(findings) => new(Outcome::Finding { findings }),
            Err(why) => unclear(&why),
        }
    }

    /// Lets the next utterance lean on this reading.
    pub fn follow(&mut self, reading: &Reading) {
        if let Outcome::Finding { findings } | Outcome::Control { findings, .. } = &reading.outcome {
            for finding in findings.iter().filter(|finding| finding.kind != Kind::Note) {
                self.context.follow(finding);
            }
        }
    }

    fn findings(&self, parts: Vec<Part>) -> Result<Vec<Finding>, String> {
        let mut context = self.context.clone();
        let mut findings = Vec::new();
        for draft in split::split(parts)? {
            for finding in resolve::resolve(&self.grammar, &draft, &context)? {
                context.follow(&finding);
                findings.push(finding);
            }
        }
        Ok(findings)
    }

    /// One place named and nothing found: a word that people say to each other, unless it changes what is being
    /// examined.
    fn is_only_a_word(&self, parts: &[Part]) -> bool {
        let [only] = parts else { return false };
        let asked = self.context.last.as_ref().is_some_and(|last| !last.is_settled());
        match &only.fill {
            Some(Fill::Side(side)) => {
                !asked && (self.context.joint.is_none() || self.context.side == Some(*side))
            }
            Some(Fill::Mode(_)) => !asked && self.context.movement.is_none(),
            Some(Fill::Joint(_)) => !asked,
            _ => false,
        }
    }

    fn correction(&self, control: Control, parts: &[Part], words: usize) -> Reading {
        let named: Vec<Part> = parts
            .iter()
            .filter(|part| part.slot() != Slot::None)
            .cloned()
            .collect();
        let unknown = parts.iter().any(|part| part.fill.is_none());
        let outcome = match &self.context.last {
            _ if unknown => Outcome::Unclear {
                why: "I did not understand what to correct".into(),
            },
            Some(last) if words > 1 => match amend::correct(&self.grammar, last, &named) {
                Ok(corrected) => Outcome::Control {
                    control,
                    findings: vec![corrected],
                },
                Err(why) => Outcome::Unclear { why },
            },
            _ => Outcome::Control {
                control,
                findings: Vec::new(),
            },
        };
        Reading {
            outcome,
            amends: true,
        }
    }

    fn note(&self, text: &str, opening: usize) -> Reading {
        let mut rest = text.trim_start();
        for _ in 0..opening {
            rest = rest
                .find(char::is_whitespace)
                .map_or("", |at| rest[at..].trim_start());
        }
        let outcome = if rest.is_empty() {
            Outcome::Unclear {
                why: "the note is empty".into(),
            }
        } else {
            let mut note = Finding::new(Kind::Note);
            note.text = Some(rest.trim_end().to_string());
            Outcome::Finding { findings: vec![note] }
        };
        Reading {
            outcome,
            amends: false,
        }
    }
}

/// So many places of a finding are named that nobody would say it to a client, whatever else is in it.
fn speaks_the_trade(parts: &[Part]) -> bool {
    let mut slots: Vec<u8> = parts.iter().map(|part| part.slot() as u8).collect();
    slots.sort_unstable();
    slots.dedup();
    slots.len() >= TRADE_PLACES || (slots.len() + 1 >= TRADE_PLACES && slots.contains(&(Slot::Mode as u8)))
}
