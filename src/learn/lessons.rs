//! Watches a visit: what was heard, what became of it, and so what was really said.

use std::path::PathBuf;
use std::sync::Arc;

use super::{Learnt, Lesson};
use crate::grammar::Grammar;
use crate::hear::ByEar;
use crate::own_file::OwnFileError;

/// The therapist's lessons, taken as findings are confirmed, corrected and dropped.
pub struct Lessons {
    learnt: Learnt,
    home: PathBuf,
    model: String,
    grammar: Arc<Grammar>,
    by_ear: ByEar,
    /// The latest, the newest last.
    missed: Vec<Attempt>,
    waiting: Vec<Waiting>,
}

/// An utterance that was not understood, or wrongly.
#[derive(Clone)]
struct Attempt {
    heard: String,
    /// Where it ends, in seconds of the session.
    end_s: f64,
    /// The belief in what was read in it; none if it has been told of already.
    belief: Option<f32>,
}

/// A finding that waits to be confirmed.
struct Waiting {
    proposal: i64,
    heard: String,
    said: String,
    belief: f32,
    end_s: f64,
    /// What had been said in vain just before, and sounds the same.
    missed: Option<Attempt>,
    /// The words that corrected it.
    corrected: Option<String>,
}

/// Seconds within which something is said again.
const AGAIN_S: f64 = 30.0;
/// Utterances that are kept for it.
const MOST_MISSED: usize = 4;
/// How far the sounds of two utterances may be apart, for each sound, if they are to be the same.
const THE_SAME: f32 = 0.35;

impl Lessons {
    /// Goes on from what was learnt so far, which is kept in the folder `home`.
    pub fn new(learnt: Learnt, home: PathBuf, model: &str, grammar: Arc<Grammar>) -> Lessons {
        Lessons {
            learnt,
            home,
            model: model.to_string(),
            by_ear: ByEar::new(grammar.clone()),
            grammar,
            missed: Vec::new(),
            waiting: Vec::new(),
        }
    }

    /// Nothing was made of an utterance; `belief` is what there was in its reading.
    pub fn missed(&mut self, heard: &str, belief: f32, end_s: f64) {
        self.note(Attempt {
            heard: heard.to_string(),
            end_s,
            belief: Some(belief),
        });
    }

    fn note(&mut self, attempt: Attempt) {
        self.missed.push(attempt);
        if self.missed.len() > MOST_MISSED {
            self.missed.remove(0);
        }
    }

    /// What was said in vain just before `start_s` and sounds the same as `said`, if anything does.
    fn said_in_vain(&self, said: &str, start_s: f64) -> Option<Attempt> {
        let recent = self
            .missed
            .iter()
            .filter(|missed| (0.0..AGAIN_S).contains(&(start_s - missed.end_s)));
        recent
            .map(|missed| (self.by_ear.distance(said, &missed.heard), missed))
            .filter(|(distance, _)| *distance <= THE_SAME)
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, missed)| missed.clone())
    }

    /// Findings were proposed: `heard` is what the model wrote, `said` the sentence that was read.
    pub fn proposed(
        &mut self,
        proposals: &[i64],
        heard: &str,
        said: &str,
        belief: f32,
        (start_s, end_s): (f64, f64),
    ) {
        let missed = self.said_in_vain(said, start_s);
        self.missed.clear();
        // A sentence of several findings teaches once.
        if let Some(&proposal) = proposals.last() {
            self.waiting.push(Waiting {
                proposal,
                heard: heard.to_string(),
                said: said.to_string(),
                belief,
                end_s,
                missed,
                corrected: None,
            });
        }
    }

    /// A proposal was given another value by these words.
    pub fn corrected(&mut self, proposal: i64, words: &str) {
        if let Some(waiting) = self.waiting.iter_mut().find(|one| one.proposal == proposal) {
            waiting.corrected = Some(words.to_string());
        }
    }

    /// A proposal was dropped: it had not been said, or was misheard and will be said again.
    pub fn dropped(&mut self, proposal: i64) {
        let Some(at) = self.waiting.iter().position(|one| one.proposal == proposal) else {
            return;
        };
        let dropped = self.waiting.remove(at);
        self.learnt.trust(&self.model).saw(dropped.belief, false);
        self.learnt
            .leaned(&self.grammar, &dropped.heard, &dropped.said, false);
        self.note(Attempt {
            heard: dropped.heard,
            end_s: dropped.end_s,
            belief: None,
        });
    }

    /// These proposals were recorded: what was heard of them is known now. What was learnt is kept at once.
    ///
    /// # Errors
    /// It can't be kept. The record is not touched by that.
    pub fn recorded(&mut self, proposals: &[i64]) -> Result<(), OwnFileError> {
        let (known, waiting): (Vec<Waiting>, Vec<Waiting>) = std::mem::take(&mut self.waiting)
            .into_iter()
            .partition(|one| proposals.contains(&one.proposal));
        self.waiting = waiting;
        for one in &known {
            let right = one.corrected.is_none();
            self.learnt.trust(&self.model).saw(one.belief, right);
            self.learnt.leaned(&self.grammar, &one.heard, &one.said, right);
            if let Some(name) = &one.corrected {
                self.take(&Lesson::Name {
                    heard: one.heard.clone(),
                    name: name.clone(),
                });
                continue;
            }
            let Some(missed) = &one.missed else { continue };
            if let Some(belief) = missed.belief {
                // It would have been right.
                self.learnt.trust(&self.model).saw(belief, true);
            }
            self.take(&Lesson::Sentence {
                heard: missed.heard.clone(),
                said: one.said.clone(),
            });
        }
        match known.is_empty() {
            true => Ok(()),
            false => {
                // A correction on the page may have taught something since.
                self.learnt.take_in(&Learnt::load(&self.home)?);
                self.learnt.save(&self.home)
            }
        }
    }

    fn take(&mut self, lesson: &Lesson) {
        self.learnt.learn(&self.grammar, &self.by_ear, lesson);
    }
}
