//! Lessons from what is corrected by hand, after the visit.

use std::path::PathBuf;
use std::sync::Arc;

use super::{Learnt, Lesson};
use crate::grammar::Grammar;
use crate::hear::ByEar;
use crate::own_file::OwnFileError;

/// Says what a correction would teach, and takes it in.
pub struct ByHand {
    grammar: Arc<Grammar>,
    by_ear: ByEar,
    home: PathBuf,
}

/// Misheard words, and the grammar's words that they stand for.
pub type Misheard = (String, String);

impl ByHand {
    /// `home` is the folder that what was learnt is kept in.
    pub fn new(grammar: Arc<Grammar>, home: PathBuf) -> ByHand {
        ByHand {
            by_ear: ByEar::new(grammar.clone()),
            grammar,
            home,
        }
    }

    /// What it would teach; mostly nothing, because what was heard are words that the grammar knows.
    pub fn would_teach(&self, lesson: &Lesson) -> Vec<Misheard> {
        lesson.misheard(&self.grammar, &self.by_ear)
    }

    /// Learns it, and keeps it.
    ///
    /// # Errors
    /// What was learnt before can't be read, or what is learnt now can't be kept.
    pub fn teach(&self, lesson: &Lesson) -> Result<(), OwnFileError> {
        if self.would_teach(lesson).is_empty() {
            return Ok(());
        }
        let mut learnt = Learnt::load(&self.home)?;
        learnt.learn(&self.grammar, &self.by_ear, lesson);
        learnt.save(&self.home)
    }
}
