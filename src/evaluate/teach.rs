//! Learns from cases as from a therapist: what was not understood is said again, what was misheard is dropped and said again,
//! and what is right is confirmed.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::case::Case;
use super::claim::Claim;
use super::run::Watch;
use super::verdict::{Verdict, judge};
use crate::error::Result;
use crate::finding::Outcome;
use crate::grammar::Grammar;
use crate::hear::{ByEar, Heard, Recogniser, model_name, read_wav};
use crate::interpret::Interpreter;
use crate::learn::{Learnt, Lesson};
use crate::pipeline::{Listener, Scribe};

/// What the cases in these folders teach. Only those teach that are one utterance of dictation whose words are known.
///
/// # Errors
/// The model cannot be loaded, or a case not be read or heard.
pub fn teach(folders: &[PathBuf], model: &Path, grammar: &Arc<Grammar>, watch: &dyn Watch) -> Result<Learnt> {
    let mut listener = Listener::new(Recogniser::load(model, grammar.clone())?);
    let mut pupil = Pupil {
        learnt: Learnt::default(),
        by_ear: ByEar::new(grammar.clone()),
        model: model_name(model),
        grammar: grammar.clone(),
        interpreter: Interpreter::new(grammar.clone()),
        case: None,
    };
    for (done, folder) in folders.iter().enumerate() {
        if watch.stop() {
            break;
        }
        let case = Case::read(folder)?;
        let samples = read_wav(&case.speech())?;
        pupil.interpreter = case.interpreter(grammar);
        pupil.case = Some(case);
        listener.recording(&samples, &mut pupil)?;
        watch.done(done + 1, folders.len());
    }
    Ok(pupil.learnt)
}

struct Pupil {
    learnt: Learnt,
    by_ear: ByEar,
    model: String,
    grammar: Arc<Grammar>,
    interpreter: Interpreter,
    /// The case at hand, until its first utterance was heard.
    case: Option<Case>,
}

impl Scribe for Pupil {
    fn interpreter(&self) -> &Interpreter {
        &self.interpreter
    }

    fn take(&mut self, heard: &Heard) -> Result<()> {
        let understood = self.interpreter.choose(heard);
        self.interpreter.follow(&understood.reading);
        let Some(case) = self.case.take() else {
            return Ok(());
        };
        let [truth] = case.utterances.as_slice() else {
            return Ok(());
        };
        if truth.said.is_empty() || !matches!(truth.outcome, Outcome::Finding { .. }) {
            return Ok(());
        }
        let outcome = &understood.reading.outcome;
        let meant = Claim::of([(&truth.outcome, false)]);
        let taken_for = Claim::of([(outcome, understood.reading.amends)]);
        let right = judge(&meant, &taken_for).verdict == Verdict::Right;
        if matches!(outcome, Outcome::Finding { .. }) {
            self.learnt.trust(&self.model).saw(understood.confidence, right);
        }
        if !right {
            let lesson = Lesson::Sentence {
                heard: heard.free.text.clone(),
                said: truth.said.clone(),
            };
            self.learnt.learn(&self.grammar, &self.by_ear, &lesson);
        }
        Ok(())
    }
}
