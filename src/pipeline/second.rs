//! A larger model's opinion of what was proposed: it hears the same sound on another thread while the finding is said
//! back, and where it reads something else the field is in doubt.
//!
//! Nobody waits for it but `confirm`: what it finds is asked about before anything is recorded.

use std::sync::mpsc::{Receiver, Sender, channel};

use crate::finding::{Doubt, Finding, Kind, Outcome};
use crate::hear::{Heard, Recogniser, Utterance};
use crate::interpret::{Interpreter, differ, value_of};

/// The larger model, on a thread of its own, which ends when this is dropped.
pub struct Second {
    jobs: Sender<Job>,
    done: Receiver<Vec<(i64, Vec<Doubt>)>>,
    /// Jobs whose answer has not been fetched.
    outstanding: usize,
}

struct Job {
    /// The proposals of the utterance, with their numbers.
    proposed: Vec<(i64, Finding)>,
    utterance: Utterance,
    /// What reads it: with what had been said before it.
    interpreter: Interpreter,
}

impl Second {
    /// Starts the thread.
    pub fn start(mut recogniser: Recogniser) -> Second {
        let (jobs, waiting) = channel::<Job>();
        let (finished, done) = channel();
        std::thread::spawn(move || {
            while let Ok(job) = waiting.recv() {
                // A model that fails has no opinion.
                let heard = recogniser.hear(&job.utterance).ok();
                let doubts = heard.map_or_else(Vec::new, |heard| opinion(&job, &heard));
                if finished.send(doubts).is_err() {
                    break;
                }
            }
        });
        Second {
            jobs,
            done,
            outstanding: 0,
        }
    }

    /// Is to hear an utterance from which these findings were proposed. `interpreter` must not have followed it yet.
    pub fn ask(&mut self, proposed: Vec<(i64, Finding)>, utterance: Utterance, interpreter: Interpreter) {
        let job = Job {
            proposed,
            utterance,
            interpreter,
        };
        // A thread that is gone has no opinion.
        self.outstanding += usize::from(self.jobs.send(job).is_ok());
    }

    /// Waits for every opinion asked for and gives what is in doubt, by the number of the proposal.
    pub fn answers(&mut self) -> Vec<(i64, Vec<Doubt>)> {
        let mut doubts = Vec::new();
        for _ in 0..std::mem::take(&mut self.outstanding) {
            match self.done.recv() {
                Ok(some) => doubts.extend(some),
                Err(_) => break,
            }
        }
        doubts
    }
}

/// Where the second reading is another one. Talk, and what it could not read, is no opinion.
fn opinion(job: &Job, heard: &Heard) -> Vec<(i64, Vec<Doubt>)> {
    let understood = job.interpreter.choose(heard);
    let Outcome::Finding { findings: theirs } = understood.reading.outcome else {
        return Vec::new();
    };
    let (numbers, mut ours): (Vec<i64>, Vec<Finding>) = job.proposed.iter().cloned().unzip();
    ours.iter_mut().for_each(|finding| finding.doubts.clear());
    if !differ(&mut ours, &theirs) {
        // Another number of findings, or of another kind: what it is about is in doubt, in the words heard.
        if let Some(first) = ours.first_mut() {
            let said = about(first);
            first.doubts.push(Doubt {
                field: said.0.into(),
                said: said.1,
                or: vec![understood.words],
            });
        }
    }
    let doubts = ours.into_iter().map(|finding| finding.doubts);
    let marked = numbers.into_iter().zip(doubts);
    marked.filter(|(_, doubts)| !doubts.is_empty()).collect()
}

/// The field that says what a finding is about, and its value.
fn about(finding: &Finding) -> (&'static str, String) {
    let (field, value) = match finding.kind {
        Kind::Muscle => ("muscle", &finding.muscle),
        Kind::Test => ("test", &finding.test),
        Kind::Palpation => ("structure", &finding.structure),
        Kind::Girth => ("level", &finding.level),
        _ => ("movement", &finding.movement),
    };
    (field, value.clone().unwrap_or_default())
}

/// The finding with these doubts, as far as they are of what it still says; `None` if none is.
pub(super) fn in_doubt(finding: &Finding, doubts: Vec<Doubt>) -> Option<Finding> {
    let still_said = |doubt: &Doubt| value_of(finding, &doubt.field).is_none_or(|value| value == doubt.said);
    let fresh: Vec<Doubt> = doubts.into_iter().filter(still_said).collect();
    (!fresh.is_empty()).then(|| Finding {
        doubts: [finding.doubts.clone(), fresh].concat(),
        ..finding.clone()
    })
}
