//! Words → reading: what an utterance says, given what was said before it. Pure: no sound, no file, no clock.

mod amend;
mod apply;
mod carry;
mod choose;
mod context;
mod cover;
mod doubts;
mod finish;
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

pub use choose::{Belief, Candidate, Evidence, Understood};
pub(crate) use doubts::in_words;

use context::Context;
use cover::{Part, cover};
use resolve::Resolved;

/// What one utterance says.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    pub outcome: Outcome,
    /// The one finding completes or replaces the finding before; it is not a new one.
    pub amends: bool,
    /// The finding that a number was reckoned from, which is said when it is read back.
    pub from: Option<Finding>,
}

/// Reads one dictation, utterance by utterance.
#[derive(Clone, Debug)]
pub struct Interpreter {
    grammar: Arc<Grammar>,
    context: Context,
    /// What each finding that may still be disregarded leaned on, the latest last.
    before: Vec<Context>,
}

/// So many words of talk make an utterance talk, whatever else is in it.
const MOST_TALK: usize = 2;
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
                ..
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

    fn dictation(&self, words: &[String], parts: &[Part]) -> Reading {
        let unknown: Vec<&String> = parts
            .iter()
            .filter(|part| part.fill.is_none())
            .map(|part| &words[part.span.0])
            .collect();
        let talk = unknown
            .iter()
            .filter(|word| self.grammar.talk.contains(**word))
            .count();
        let asked = parts.iter().find_map(|part| match &part.fill {
            Some(Fill::Ask(why)) => Some(why),
            _ => None,
        });
        if let Some(why) = asked
            && talk < MOST_TALK
        {
            return unclear(why);
        }
        let named = named(parts);
        let misplaced =
            |pair: &[Part]| pair[0].slot() == Slot::Sign && pair[1].place && pair[0].span.1 == pair[1].span.0;
        if unknown.is_empty() && named.windows(2).any(misplaced) {
            return unclear("the number says where the sign was: say how far the movement goes");
        }
        let context = named.iter().any(|part| part.slot().is_context());
        let result = named.iter().any(|part| part.slot().is_result());
        if !unknown.is_empty() {
            let length: usize = parts.iter().map(|part| part.span.1 - part.span.0).sum();
            let near = unknown.len() as f64 <= MOST_UNKNOWN * length as f64;
            let results = named.iter().filter(|part| part.slot().is_result()).count();
            let leans = results >= 2 && !self.context.is_empty();
            if leans && talk == 0 {
                return unclear("there is a word in it that I do not know");
            }
            return if context
                && result
                && talk < MOST_TALK
                && ((near && talk == 0) || talk::speaks_the_trade(&named))
            {
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
                from: None,
            };
        }
        match self.findings(&named, words) {
            Ok(Resolved { findings, from }) => Reading {
                from,
                ..new(Outcome::Finding { findings })
            },
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

    fn findings(&self, parts: &[Part], words: &[String]) -> Result<Resolved, String> {
        // Words that can mean two things mean what leaves nothing open.
        let mut best: Result<Resolved, String> = Err(String::new());
        let meanings = meanings(parts);
        for (meaning, named_after) in meanings.iter().flat_map(|parts| [(parts, false), (parts, true)]) {
            let found = self.findings_of(meaning, words, named_after);
            let better = match (&found, &best) {
                (Ok(found), Ok(best)) => open_places(&found.findings) < open_places(&best.findings),
                (Ok(_), Err(_)) => true,
                (Err(_), Ok(_)) => false,
                (Err(_), Err(best)) => best.is_empty(),
            };
            if better {
                best = found;
            }
        }
        best
    }

    fn findings_of(&self, parts: &[Part], words: &[String], named_after: bool) -> Result<Resolved, String> {
        let mut context = self.context.clone();
        let mut all = Resolved::default();
        for draft in split::split(parts, named_after)? {
            let resolved = resolve::resolve(&self.grammar, &draft, words, &context)?;
            resolved
                .findings
                .iter()
                .for_each(|finding| context.follow(finding));
            all.findings.extend(resolved.findings);
            all.from = resolved.from.or(all.from);
        }
        Ok(all)
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
            from: None,
        }
    }
}

/// What the words of a text stand for, in order; `None` for a word that the grammar does not know there.
pub fn fills(grammar: &Grammar, text: &str) -> Vec<Option<Fill>> {
    let parts = cover(grammar, &grammar.words(text));
    parts.into_iter().map(|part| part.fill).collect()
}

/// Everything that the words of a text can mean.
pub fn every_fill(grammar: &Grammar, text: &str) -> Vec<Fill> {
    let parts = cover(grammar, &grammar.words(text));
    let meanings = |part: Part| part.fill.into_iter().chain(part.or);
    parts.into_iter().flat_map(meanings).collect()
}

const NOT_UNDERSTOOD: &str = "I did not understand what to correct";

fn new(outcome: Outcome) -> Reading {
    Reading {
        outcome,
        amends: false,
        from: None,
    }
}

fn unclear(why: &str) -> Reading {
    new(Outcome::Unclear { why: why.into() })
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

/// How much is left open.
fn open_places(findings: &[Finding]) -> usize {
    let open = |finding: &Finding| finding.missing.len() + finding.doubts.len();
    findings.iter().map(open).sum()
}

/// Most meanings of one utterance that are weighed.
const MOST_MEANINGS: usize = 16;

/// Every choice among what the words can mean, a result of a named test first.
fn meanings(parts: &[Part]) -> Vec<Vec<Part>> {
    let mut all = vec![Vec::new()];
    for part in parts {
        let mut fills: Vec<&Fill> = part.fill.iter().chain(&part.or).collect();
        fills.sort_by_key(|fill| !matches!(fill, Fill::ResultOf(_)));
        if all.len() * fills.len() > MOST_MEANINGS {
            fills.truncate(1);
        }
        let said = |fill: &Fill| Part {
            fill: Some(fill.clone()),
            ..part.clone()
        };
        let longer = |before: &Vec<Part>| {
            let parts: Vec<Part> = fills.iter().map(|fill| said(fill)).collect();
            parts
                .into_iter()
                .map(|part| [before.clone(), vec![part]].concat())
                .collect::<Vec<_>>()
        };
        all = all.iter().flat_map(longer).collect();
    }
    all
}

/// The parts that say something of a finding.
fn named(parts: &[Part]) -> Vec<Part> {
    parts
        .iter()
        .filter(|part| part.slot() != Slot::None)
        .cloned()
        .collect()
}
