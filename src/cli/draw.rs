//! `couchside grammar draw`: random dictation, for measuring recognisers.

use std::collections::HashSet;
use std::sync::Arc;

use clap::Args;
use serde::Serialize;

use crate::error::{Error, Result};
use crate::finding::{Finding, Outcome};
use crate::grammar::Grammar;
use crate::grammar::draw::{Drawing, Utterance};
use crate::grammar::fragment::Fill;
use crate::hear::by_sound::ByEar;
use crate::interpret::Interpreter;

#[derive(Args)]
pub struct Draw {
    /// The same seed gives the same phrases
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// How many
    #[arg(long, default_value_t = 20)]
    count: usize,
    /// Draws no wording with this word; may be given several times
    #[arg(long, value_name = "WORD")]
    without: Vec<String>,
    /// One JSON object per phrase, with what it means
    #[arg(long)]
    json: bool,
    /// With --json: adds how the search for a sentence spells each, numbers in digits
    #[arg(long, requires = "json")]
    written: bool,
}

/// A phrase and what its utterances mean.
#[derive(Serialize)]
struct Phrase {
    about: &'static str,
    utterances: Vec<Meant>,
}

#[derive(Serialize)]
struct Meant {
    said: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    written: Option<String>,
    #[serde(flatten)]
    outcome: Outcome,
}

/// So many draws in a row may come to nothing before the vocabulary is held to have no phrases.
const MOST_IN_VAIN: usize = 100_000;

impl Draw {
    /// Runs the command.
    pub fn run(&self, grammar: Arc<Grammar>) -> Result<()> {
        let mut drawing = Drawing::new(grammar.clone(), self.seed, &self.without);
        let by_ear = self.written.then(|| ByEar::new(grammar.clone()));
        let mut interpreter = Interpreter::new(grammar);
        let mut said = HashSet::new();
        let (mut count, mut in_vain) = (0, 0);
        while count < self.count {
            let drawn = drawing.draw();
            let read = drawn.and_then(|drawn| read(&mut interpreter, drawn.about, &drawn.utterances));
            // There are few control words: they come again.
            let new = |phrase: &Phrase| phrase.about == "control" || said.insert(text(phrase));
            match read.filter(new) {
                Some(mut phrase) => {
                    for (one, by_ear) in phrase.utterances.iter_mut().zip(by_ear.iter().cycle()) {
                        one.written = Some(in_digits(by_ear, &mut interpreter, &one.said));
                    }
                    match self.json {
                        true => super::print_json(&phrase)?,
                        false => super::output(&(text(&phrase) + "\n"))?,
                    }
                    (count, in_vain) = (count + 1, 0);
                }
                None if in_vain == MOST_IN_VAIN => {
                    return Err(Error::Failed(format!(
                        "the vocabulary gave {count} phrases and no more; ask for fewer"
                    )));
                }
                None => in_vain += 1,
            }
        }
        Ok(())
    }
}

/// Words that one number may have.
const MOST_WORDS: usize = 8;

/// What is said with its numbers in digits, but for those that are part of a name: "three quarters" is a range, and
/// "3 quarters" would be three degrees and a quarter.
fn in_digits(by_ear: &ByEar, interpreter: &mut Interpreter, said: &str) -> String {
    let mut means = |text: &str| {
        interpreter.forget();
        serde_json::to_string(&interpreter.read(text).outcome).unwrap_or_default()
    };
    let meant = means(said);
    let words: Vec<&str> = said.split(' ').collect();
    let (mut written, mut at): (Vec<String>, usize) = (Vec::new(), 0);
    while at < words.len() {
        let most = words.len().min(at + MOST_WORDS);
        let number = (at + 1..=most).rev().find_map(|end| {
            let digits = by_ear.in_digits(&words[at..end].join(" "));
            digits
                .bytes()
                .all(|byte| byte.is_ascii_digit())
                .then_some((end, digits))
        });
        let (end, digits) = number.unwrap_or_else(|| (at + 1, words[at].to_string()));
        let whole = [written.join(" "), digits.clone(), words[end..].join(" ")].join(" ");
        match means(whole.trim()) == meant {
            true => written.push(digits),
            false => written.extend(words[at..end].iter().map(|word| word.to_string())),
        }
        at = end;
    }
    written.join(" ")
}

fn text(phrase: &Phrase) -> String {
    let said: Vec<&str> = phrase.utterances.iter().map(|one| one.said.as_str()).collect();
    said.join(" · ")
}

/// What the utterances mean, if each is a finding or a control word without any doubt, and says what it was drawn for.
fn read(interpreter: &mut Interpreter, about: &'static str, utterances: &[Utterance]) -> Option<Phrase> {
    interpreter.forget();
    let mut meant = Vec::new();
    for utterance in utterances {
        let outcome = interpreter.read(&utterance.said).outcome;
        let findings: &[Finding] = match &outcome {
            Outcome::Finding { findings } | Outcome::Control { findings, .. } => findings,
            Outcome::Aside | Outcome::Unclear { .. } => return None,
        };
        // A side that was not said is asked for; anything else that is missing makes it no finding to measure by.
        let whole = |finding: &Finding| {
            finding.doubts.is_empty() && finding.missing.iter().all(|field| field == "side")
        };
        if !findings.iter().all(whole) || !says_it_all(interpreter.grammar(), utterance, &outcome, findings) {
            return None;
        }
        meant.push(Meant {
            said: utterance.said.clone(),
            written: None,
            outcome,
        });
    }
    Some(Phrase {
        about,
        utterances: meant,
    })
}

/// Every fragment was read as what it was drawn as: the truth must not hang on the interpreter's word alone.
fn says_it_all(grammar: &Grammar, utterance: &Utterance, outcome: &Outcome, findings: &[Finding]) -> bool {
    let any = |has: &dyn Fn(&Finding) -> bool| findings.iter().any(has);
    utterance
        .fragments
        .iter()
        .all(|&fragment| match &grammar.automaton.fragment(fragment).fill {
            Fill::Control { control, .. } => {
                matches!(outcome, Outcome::Control { control: read, .. } if read == control)
            }
            Fill::Side(side) => any(&|finding| finding.side == Some(*side)),
            Fill::Joint(joint) => any(&|finding| {
                let name = &grammar.joints[*joint].name;
                finding.joint.as_ref().is_none_or(|read| read == name)
            }),
            Fill::Movement(named) => any(&|finding| {
                named.iter().any(|&(joint, movement)| {
                    finding.movement.as_ref() == Some(&grammar.joints[joint].movements[movement].name)
                })
            }),
            Fill::Muscle { candidates, .. } => any(&|finding| {
                candidates
                    .iter()
                    .any(|&muscle| finding.muscle.as_ref() == Some(&grammar.muscles[muscle].name))
            }),
            Fill::Test(candidates) => any(&|finding| {
                candidates
                    .iter()
                    .any(|&test| finding.test.as_ref() == Some(&grammar.tests[test].name))
            }),
            Fill::Girth(_) => any(&|finding| finding.girth_cm.is_some()),
            Fill::Structure(structure) => any(&|finding| finding.structure.as_ref() == Some(structure)),
            Fill::Mode(mode) => any(&|finding| finding.mode == Some(*mode)),
            Fill::EndFeel(end_feel) => any(&|finding| finding.end_feel.as_ref() == Some(end_feel)),
            Fill::PainFelt(felt) => {
                any(&|finding| finding.pain.as_ref().is_some_and(|pain| pain.felt == *felt))
            }
            Fill::Strength => any(&|finding| finding.strength.is_some() || finding.laxity.is_some()),
            Fill::Degrees | Fill::DegreesShort => any(&|finding| finding.degrees.is_some()),
            _ => true,
        })
}
