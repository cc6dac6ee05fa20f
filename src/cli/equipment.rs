//! What an examination is taken down with: the model, the vocabulary, what was learnt. The same from the terminal and from the page.

use std::path::Path;
use std::sync::Arc;

use crate::error::Result;
use crate::grammar::Grammar;
use crate::hear::{Recogniser, model, model_name};
use crate::learn::{Learnt, Lessons};
use crate::pipeline::{Second, Visit};
use crate::record::Record;
use crate::settings::Settings;

/// What is to be set up.
pub struct Equipment<'a> {
    /// The folder of the record.
    pub home: &'a Path,
    pub settings: &'a Settings,
    pub client: &'a str,
    /// The speech model's name; the usual one if absent.
    pub model: Option<&'a str>,
    /// The name of a larger model that hears every finding too.
    pub second: Option<&'a str>,
    /// The client allows that sound is kept, or does not; as was said before if absent.
    pub sound: Option<bool>,
}

impl Equipment<'_> {
    /// Opens the client's visit, and loads what hears it.
    ///
    /// # Errors
    /// A model is missing or damaged, what was learnt can't be read, or the record can't be written.
    pub fn set_up(&self, record: Record, grammar: &Arc<Grammar>) -> Result<(Visit, Recogniser)> {
        let model_file = model::path_of(self.model)?;
        let learnt = Learnt::load(self.home)?;
        let recogniser =
            Recogniser::load(&model_file, grammar.clone())?.with_aliases(learnt.aliases(grammar));
        let name = model_name(&model_file);
        let shift = learnt.shift(&name);
        let lessons = Lessons::new(learnt, self.home.to_owned(), &name, grammar.clone());
        let visit = Visit::open(record, self.client, &name, grammar.clone())?
            .with_lessons(lessons, shift)
            .said_back(self.settings.said_back)
            .keep_talk(self.settings.talk_kept)
            .let_in_by(self.settings.way_in)
            .allow_sound(self.sound)?;
        let visit = match self.second {
            Some(name) => {
                let larger = Recogniser::load(&model::path_of(Some(name))?, grammar.clone())?;
                visit.with_second(Second::start(larger))
            }
            None => visit,
        };
        Ok((visit, recogniser))
    }
}
