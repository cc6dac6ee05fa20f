//! A correction, alone or in one breath with what it corrects.

use crate::finding::Control;
use crate::grammar::fragment::{Fill, Slot};

use super::cover::{Part, cover};
use super::{Interpreter, Reading, amend, named, new, talk, unclear};
use crate::finding::Outcome;

const NOT_UNDERSTOOD: &str = "I did not understand what to correct";

impl Interpreter {
    /// Reads `parts`, which cover a stretch of `words`.
    pub(super) fn understand(&self, words: &[String], parts: &[Part]) -> Reading {
        let opens = |part: &Part| match part.fill {
            Some(Fill::Control {
                control, opens: true, ..
            }) => Some(control),
            _ => None,
        };
        let Some(at) = parts.iter().rposition(|part| opens(part).is_some()) else {
            return self.dictation(words, parts);
        };
        let (said, changes) = (&parts[..at], named(&parts[at + 1..]));
        let unknown = parts[at + 1..].iter().any(|part| part.fill.is_none());
        if unknown && talk::is_spoken(&self.grammar, words, parts) {
            return self.dictation(words, &unopened(parts));
        }
        if said
            .iter()
            .all(|part| part.fill.is_some() && part.slot() == Slot::None && opens(part).is_none())
        {
            let everyday = matches!(parts[at].fill, Some(Fill::Control { everyday: true, .. }));
            if everyday && (unknown || changes.is_empty() || self.context.last.is_none()) {
                return self.dictation(words, &parts[at + 1..]);
            }
            let control = opens(&parts[at]).unwrap_or(Control::Correction);
            return self.correction(control, &changes, unknown);
        }
        // In one breath with what it corrects: what is said after it takes the place of what was said before.
        if unknown {
            return self.dictation(words, &unopened(parts));
        }
        let mut corrected = said.to_vec();
        let mut replaces = false;
        for change in &parts[at + 1..] {
            let place = change.slot().place();
            let same = |part: &Part| part.slot() != Slot::None && part.slot().place() == place;
            if let Some(earlier) = corrected.iter().rposition(same) {
                corrected.remove(earlier);
                replaces = true;
            }
        }
        if !replaces && matches!(parts[at].fill, Some(Fill::Control { everyday: true, .. })) {
            return self.dictation(words, &unopened(parts));
        }
        corrected.extend_from_slice(&parts[at + 1..]);
        self.understand(words, &corrected)
    }

    /// What the latest finding becomes by these words, as if a word that corrects stood before them.
    pub fn amended(&self, text: &str) -> Outcome {
        let parts = cover(&self.grammar, &self.grammar.words(text));
        let unknown = parts.iter().any(|part| part.fill.is_none());
        self.correction(Control::Correction, &named(&parts), unknown)
            .outcome
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
            amends: true,
            ..new(Outcome::Control { control, findings })
        }
    }
}

/// The parts with every word that opens a correction taken for one that is not known.
fn unopened(parts: &[Part]) -> Vec<Part> {
    let mut parts = parts.to_vec();
    for part in &mut parts {
        if matches!(part.fill, Some(Fill::Control { opens: true, .. })) {
            part.fill = None;
        }
    }
    parts
}
