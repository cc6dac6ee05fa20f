//! Hears every case, on the path of `couchside hear`, and judges it.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::case::Case;
use super::evidence::{Evidence, evidence};
use super::judged::{Judged, judge_case};
use super::latency::Times;
use crate::error::Result;
use crate::finding::{Finding, Outcome};
use crate::grammar::Grammar;
use crate::hear::{ByEar, Heard, Recogniser, SAMPLE_RATE, model_name, read_wav};
use crate::interpret::Interpreter;
use crate::learn::Learnt;
use crate::pipeline::{Listener, Scribe};

/// An utterance as it was heard and understood.
#[derive(Clone, Debug)]
pub struct HeardUtterance {
    /// Where it begins and ends, in seconds from the beginning of the recording.
    pub start_s: f64,
    pub end_s: f64,
    pub words: String,
    pub outcome: Outcome,
    /// Its finding completes or replaces the one before.
    pub amends: bool,
    /// Milliseconds that hearing took.
    pub decode_ms: f64,
}

/// A case that could not be read or heard, and why.
#[derive(Clone, Debug, serde::Serialize)]
pub struct Unread {
    pub folder: PathBuf,
    pub why: String,
}

/// Looks on while cases are heard; called from several threads.
pub trait Watch: Sync {
    /// So many cases of so many are done.
    fn done(&self, cases: usize, of: usize);
    /// True ends the run after the cases that are being heard.
    fn stop(&self) -> bool;
}

/// All that came of a run. Everything is in the order of the cases, however many were heard at a time.
#[derive(Default)]
pub struct Run {
    /// How many cases there are; if the run was stopped, not all of them were heard.
    pub cases: usize,
    /// Cases heard, and those that could not be.
    pub heard: usize,
    pub unread: Vec<Unread>,
    pub judged: Vec<Judged>,
    /// How long each utterance heard took.
    pub times: Vec<Times>,
    /// What spoke for the sentences of each case that is one utterance and was heard as one.
    pub evidence: Vec<Evidence>,
    /// Seconds of sound.
    pub sound_s: f64,
}

struct Done {
    judged: Vec<Judged>,
    times: Vec<Times>,
    evidence: Option<Evidence>,
    sound_s: f64,
}

/// Hears the cases in these folders and judges them, `jobs` at a time, each with an engine of its own, by what was
/// `learnt` from corrections before; nothing is learnt from them.
///
/// # Errors
/// If the model cannot be loaded. A case that cannot be read or heard does not end the run; it is listed.
pub fn evaluate(
    folders: &[PathBuf],
    model: &Path,
    grammar: &Arc<Grammar>,
    learnt: &Learnt,
    jobs: usize,
    watch: &dyn Watch,
) -> Result<Run> {
    let shift = learnt.shift(&model_name(model));
    let next = AtomicUsize::new(0);
    let done: Mutex<Vec<Option<std::result::Result<Done, String>>>> =
        Mutex::new(folders.iter().map(|_| None).collect());
    let count = AtomicUsize::new(0);
    let work = || -> Result<()> {
        let recogniser = Recogniser::load(model, grammar.clone())?;
        let mut listener = Listener::new(recogniser.with_aliases(learnt.aliases(grammar)));
        let mut by_ear = ByEar::new(grammar.clone());
        while !watch.stop() {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(folder) = folders.get(at) else {
                break;
            };
            let result =
                hear(folder, &mut listener, &mut by_ear, grammar, shift).map_err(|error| error.to_string());
            if let Ok(mut done) = done.lock() {
                done[at] = Some(result);
            }
            watch.done(count.fetch_add(1, Ordering::Relaxed) + 1, folders.len());
        }
        Ok(())
    };
    std::thread::scope(|scope| {
        let workers: Vec<_> = (0..jobs.clamp(1, folders.len().max(1)))
            .map(|_| scope.spawn(work))
            .collect();
        workers.into_iter().try_for_each(|worker| match worker.join() {
            Ok(result) => result,
            Err(panic) => std::panic::resume_unwind(panic),
        })
    })?;
    let mut run = Run {
        cases: folders.len(),
        ..Run::default()
    };
    let done = done.into_inner().unwrap_or_else(|poisoned| poisoned.into_inner());
    for (folder, done) in folders.iter().zip(done) {
        match done {
            None => {}
            Some(Err(why)) => run.unread.push(Unread {
                folder: folder.clone(),
                why,
            }),
            Some(Ok(done)) => {
                run.heard += 1;
                run.judged.extend(done.judged);
                run.times.extend(done.times);
                run.evidence.extend(done.evidence);
                run.sound_s += done.sound_s;
            }
        }
    }
    Ok(run)
}

fn hear(
    folder: &Path,
    listener: &mut Listener,
    by_ear: &mut ByEar,
    grammar: &Arc<Grammar>,
    shift: f32,
) -> Result<Done> {
    let case = Case::read(folder)?;
    let mut interpreter = case.interpreter(grammar);
    interpreter.believe_more(shift);
    let samples = read_wav(&case.speech())?;
    let mut hearing = Hearing {
        case: &case,
        by_ear,
        interpreter,
        utterances: Vec::new(),
        spoke: Vec::new(),
        times: Vec::new(),
    };
    listener.recording(&samples, &mut hearing)?;
    let Hearing {
        utterances,
        mut spoke,
        times,
        ..
    } = hearing;
    let sound_s = samples.len() as f64 / f64::from(SAMPLE_RATE);
    Ok(Done {
        judged: judge_case(&case, &utterances, sound_s),
        times,
        evidence: spoke.pop().flatten().filter(|_| spoke.is_empty()),
        sound_s,
    })
}

/// Collects what is heard in a case.
struct Hearing<'a> {
    case: &'a Case,
    by_ear: &'a mut ByEar,
    interpreter: Interpreter,
    utterances: Vec<HeardUtterance>,
    spoke: Vec<Option<Evidence>>,
    times: Vec<Times>,
}

impl Scribe for Hearing<'_> {
    fn interpreter(&self) -> &Interpreter {
        &self.interpreter
    }

    fn take(&mut self, heard: &Heard) -> Result<()> {
        self.spoke
            .push(evidence(self.case, &self.interpreter, self.by_ear, heard));
        let understood = self.interpreter.choose(heard);
        self.interpreter.follow(&understood.reading);
        self.times.push(Times {
            decode_ms: heard.took.as_secs_f64() * 1000.0,
            speech_s: heard.end_s - heard.start_s,
            answered_ms: heard.answered_s.map(|seconds| seconds * 1000.0),
            settled: is_settled(&understood.reading.outcome),
        });
        self.utterances.push(HeardUtterance {
            start_s: heard.start_s,
            end_s: heard.end_s,
            words: understood.words,
            outcome: understood.reading.outcome,
            amends: understood.reading.amends,
            decode_ms: heard.took.as_secs_f64() * 1000.0,
        });
        Ok(())
    }
}

/// A finding of which nothing is missing or in doubt.
pub(super) fn is_settled(outcome: &Outcome) -> bool {
    matches!(outcome, Outcome::Finding { findings } if findings.iter().all(Finding::is_settled))
}
