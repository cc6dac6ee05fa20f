//! Hears one utterance at a time, here and now or on a thread beside, while more sound comes in.

use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};

use super::engine::EngineError;
use super::recogniser::{Heard, Recogniser};
use super::utterance::Utterance;

/// A recogniser with the utterance last given to it. What was heard in it is the same whichever way it is done.
pub struct Decoder {
    way: Way,
    latest: Option<Latest>,
}

/// The utterance last given, and what was heard in it, as far as that is known.
struct Latest {
    utterance: Utterance,
    heard: Option<Heard>,
}

enum Way {
    /// Hears when it is asked what was heard: an utterance that nobody asks about costs nothing.
    Here(Box<Recogniser>),
    /// Hears at once, on a thread of its own.
    Beside(Worker),
}

type Job = (u64, Utterance);
type Done = (u64, Result<Heard, EngineError>);

/// The thread; it ends when this is dropped.
struct Worker {
    jobs: Sender<Job>,
    done: Receiver<Done>,
    /// Number of the last job.
    number: u64,
}

impl Decoder {
    /// Hears on the thread of whoever asks.
    pub fn here(recogniser: Recogniser) -> Decoder {
        Decoder {
            way: Way::Here(Box::new(recogniser)),
            latest: None,
        }
    }

    /// Hears on a thread of its own, so that whoever asks can take in sound meanwhile.
    pub fn beside(recogniser: Recogniser) -> Decoder {
        Decoder {
            way: Way::Beside(Worker::start(recogniser)),
            latest: None,
        }
    }

    /// Is to hear this utterance. The one before is forgotten. The same utterance again costs nothing.
    pub fn begin(&mut self, utterance: Utterance) {
        if self.is_about(&utterance) {
            return;
        }
        if let Way::Beside(worker) = &mut self.way {
            worker.begin(utterance.clone());
        }
        self.latest = Some(Latest {
            utterance,
            heard: None,
        });
    }

    /// Whether this is the utterance last given to it, sample for sample.
    pub fn is_about(&self, utterance: &Utterance) -> bool {
        self.latest
            .as_ref()
            .is_some_and(|latest| latest.utterance == *utterance)
    }

    /// What was heard in the utterance last given; `None` if there is none or, unless `wait`, if it is not known yet.
    ///
    /// # Errors
    /// The recogniser failed; the utterance is forgotten.
    pub fn heard(&mut self, wait: bool) -> Result<Option<&Heard>, EngineError> {
        if let Some(latest) = &mut self.latest
            && latest.heard.is_none()
        {
            let result = match &mut self.way {
                Way::Here(recogniser) => Some(recogniser.hear(&latest.utterance)),
                Way::Beside(worker) => worker.heard(wait),
            };
            match result {
                None => return Ok(None),
                Some(Ok(heard)) => latest.heard = Some(heard),
                Some(Err(error)) => {
                    self.latest = None;
                    return Err(error);
                }
            }
        }
        Ok(self.latest.as_ref().and_then(|latest| latest.heard.as_ref()))
    }

    /// Forgets the utterance last given.
    pub fn forget(&mut self) {
        self.latest = None;
    }
}

impl Worker {
    fn start(mut recogniser: Recogniser) -> Worker {
        let (jobs, waiting) = channel::<Job>();
        let (finished, done) = channel::<Done>();
        std::thread::spawn(move || {
            while let Ok(mut job) = waiting.recv() {
                // What was given meanwhile is what is wanted now.
                while let Ok(newer) = waiting.try_recv() {
                    job = newer;
                }
                let heard = recogniser.hear(&job.1);
                if finished.send((job.0, heard)).is_err() {
                    break;
                }
            }
        });
        Worker {
            jobs,
            done,
            number: 0,
        }
    }

    fn begin(&mut self, utterance: Utterance) {
        self.number += 1;
        // A thread that is gone is noticed when it is asked.
        let _ = self.jobs.send((self.number, utterance));
    }

    /// What became of the last job; `None` if it is not done yet.
    fn heard(&self, wait: bool) -> Option<Result<Heard, EngineError>> {
        loop {
            let done = match wait {
                true => self.done.recv().map_err(|_| TryRecvError::Disconnected),
                false => self.done.try_recv(),
            };
            match done {
                Ok((number, heard)) if number == self.number => return Some(heard),
                // Of an utterance that went on after all.
                Ok(_) => {}
                Err(TryRecvError::Empty) => return None,
                Err(TryRecvError::Disconnected) => {
                    return Some(Err(EngineError::Failed {
                        doing: "listening on a thread of its own",
                    }));
                }
            }
        }
    }
}
