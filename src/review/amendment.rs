//! A recorded finding, changed by typed words with the same care as by voice: read with the same grammar, shown as a sentence, and
//! written only once that is confirmed.

use crate::finding::{Finding, Kind, Outcome};
use crate::grammar::Grammar;
use crate::grammar::automaton::FragmentId;
use crate::grammar::fragment::Slot;
use crate::interpret::{Interpreter, Reading};
use crate::pipeline::{TYPED, cautions};
use crate::readback::{Proposal, Settle, Step};
use crate::record::{Record, RecordError, Source, VisitId};

/// What a finding becomes by these words of dictation; the error says why it stays as it is.
///
/// # Errors
/// The words are not understood, or change nothing.
pub fn amended(grammar: &std::sync::Arc<Grammar>, before: &Finding, words: &str) -> Result<Finding, String> {
    let mut interpreter = Interpreter::new(grammar.clone());
    interpreter.follow(&Reading::of(before.clone(), false));
    let changed = match interpreter.amended(words) {
        Outcome::Control { findings, .. } => findings.into_iter().next(),
        Outcome::Unclear { why } => return Err(format!("“{words}”: {why}")),
        Outcome::Finding { .. } | Outcome::Aside => None,
    };
    changed
        .filter(|changed| changed != before && changed.is_settled())
        .ok_or_else(|| format!("“{words}” says nothing that changes this finding"))
}

/// Words that a finding can be changed with: its side, how it was moved, what was felt. Numbers are typed.
pub fn choices(grammar: &std::sync::Arc<Grammar>, before: &Finding) -> Vec<String> {
    let chosen: &[Slot] = match before.kind {
        Kind::Movement => &[Slot::Side, Slot::Mode, Slot::EndFeel, Slot::Range],
        Kind::Test => &[Slot::Side, Slot::Result],
        Kind::Palpation => &[Slot::Side, Slot::PainFelt],
        Kind::Muscle | Kind::Girth | Kind::Pain => &[Slot::Side],
        Kind::Note => &[],
    };
    let mut choices: Vec<(usize, &String)> = grammar
        .names
        .iter()
        .enumerate()
        .filter_map(|(number, name)| {
            let slot = grammar.automaton.fragment(number as FragmentId).fill.slot();
            let place = chosen.iter().position(|chosen| *chosen == slot)?;
            amended(grammar, before, name).ok().map(|_| (place, name))
        })
        .collect();
    choices.sort_by_key(|(place, _)| *place);
    choices.dedup();
    choices.into_iter().map(|(_, name)| name.clone()).collect()
}

/// What typed words say, as new findings.
///
/// # Errors
/// They are no finding, or something is missing.
pub fn typed(grammar: &std::sync::Arc<Grammar>, words: &str) -> Result<Vec<Finding>, String> {
    match Interpreter::new(grammar.clone()).read(words).outcome {
        Outcome::Finding { findings } => match findings.iter().find(|finding| !finding.is_settled()) {
            None => Ok(findings),
            Some(finding) => Err(incomplete(words, finding)),
        },
        Outcome::Unclear { why } => Err(format!("“{words}”: {why}")),
        Outcome::Control { .. } | Outcome::Aside => Err(format!("“{words}” is not a finding")),
    }
}

/// Gives a recorded finding its new value, which whoever typed it has confirmed. `heard` is what it was read from, all in all.
///
/// # Errors
/// The record cannot be written.
pub fn change(
    record: &mut Record,
    grammar: &Grammar,
    id: i64,
    changed: Finding,
    heard: &str,
) -> Result<(), RecordError> {
    let proposal = record.propose_for(id, &changed, &source(grammar, heard))?;
    for confirmed in confirmed(proposal, changed, heard) {
        record.correct_finding(id, &confirmed)?;
        cautions(record, grammar, id)?;
    }
    Ok(())
}

/// Records a new finding, which whoever typed it has confirmed. Returns its number.
///
/// # Errors
/// The visit is closed, or the record cannot be written.
pub fn add(
    record: &mut Record,
    grammar: &Grammar,
    visit: VisitId,
    finding: Finding,
    words: &str,
) -> Result<Option<i64>, RecordError> {
    let proposal = record.propose(visit, &finding, &source(grammar, words))?;
    let mut id = None;
    for confirmed in confirmed(proposal, finding, words) {
        let recorded = record.confirm(visit, &confirmed)?.id;
        cautions(record, grammar, recorded)?;
        id = Some(recorded);
    }
    Ok(id)
}

/// What a changed finding was read from: the words before, and those that changed it.
pub fn all_words(before: &str, words: &str) -> String {
    format!("{before}; {words}")
}

/// Records what was dictated and waits, which whoever looked at it has confirmed; `words`, if there are any, correct or complete it.
///
/// # Errors
/// It does not wait any more, something is missing, the words are not understood, or the record cannot be written.
pub fn settle(
    record: &mut Record,
    grammar: &std::sync::Arc<Grammar>,
    visit: VisitId,
    waits: Proposal,
    words: Option<&str>,
) -> Result<(), Unsettled> {
    let (mut finding, mut heard) = (waits.finding, waits.heard);
    if let Some(words) = words {
        finding = amended(grammar, &finding, words).map_err(Unsettled::Said)?;
        heard = all_words(&heard, words);
    }
    if !finding.is_settled() {
        return Err(Unsettled::Said(incomplete(&heard, &finding)));
    }
    if let Some(words) = words {
        record.correct_proposal(waits.id, &finding, words)?;
    }
    for confirmed in confirmed(waits.id, finding, &heard) {
        let recorded = record.confirm(visit, &confirmed)?.id;
        cautions(record, grammar, recorded)?;
    }
    Ok(())
}

/// Why something that waits was not recorded.
#[derive(Debug, thiserror::Error)]
pub enum Unsettled {
    #[error("{0}")]
    Said(String),
    #[error(transparent)]
    Record(#[from] RecordError),
}

fn incomplete(words: &str, finding: &Finding) -> String {
    match finding.missing.is_empty() {
        true => format!("“{words}” can be read in more than one way; say it in full"),
        false => format!("Say also: {}", finding.missing.join(", ")),
    }
}

/// Takes a recorded finding back, which was confirmed. It stays in the history.
///
/// # Errors
/// It is not there any more, or the record cannot be written.
pub fn take_back(record: &mut Record, id: i64, finding: Finding) -> Result<(), RecordError> {
    let visit = record.visit_of_finding(id)?;
    let mut settle = Settle::default();
    settle.ask_back(id, finding);
    if let Step::TakeBack(taken_back) = settle.confirm() {
        record.withdraw(visit, &taken_back)?;
    }
    Ok(())
}

fn confirmed(id: i64, finding: Finding, words: &str) -> Vec<crate::readback::Confirmed> {
    let mut settle = Settle::default();
    settle.propose(Proposal {
        id,
        finding,
        heard: words.to_owned(),
    });
    match settle.confirm() {
        Step::Confirmed(confirmed) => confirmed,
        _ => Vec::new(),
    }
}

fn source(grammar: &Grammar, words: &str) -> Source {
    Source {
        words: words.to_owned(),
        model: TYPED.to_owned(),
        grammar: grammar.version.clone(),
    }
}
