//! What was learnt so far, and the file that keeps it.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::Trust;
use super::alias::{Alias, misheard, misheard_name};
use crate::grammar::Grammar;
use crate::hear::{Aliases, ByEar};
use crate::own_file::{OwnFileError, read, write};

/// The file's name, in the folder of the record.
const FILE: &str = "learnt.toml";
/// What it is in a message.
const WHAT: &str = "what was learnt from your corrections";
/// Aliases that are kept; the ones that helped least make room.
const MOST: usize = 500;

/// Everything that was learnt from one therapist.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Learnt {
    #[serde(default)]
    pub alias: Vec<Alias>,
    /// By the name of the speech model.
    #[serde(default)]
    trust: BTreeMap<String, Trust>,
}

/// What was heard of an utterance, and what turned out to have been said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Lesson {
    /// The whole sentence is known: it was said again and confirmed.
    Sentence { heard: String, said: String },
    /// One name in it is known: it was corrected and confirmed.
    Name { heard: String, name: String },
}

impl Lesson {
    /// The misheard words in it, each with the grammar's words that they stood for.
    pub fn misheard(&self, grammar: &Grammar, by_ear: &ByEar) -> Vec<(String, String)> {
        match self {
            Lesson::Sentence { heard, said } => misheard(grammar, by_ear, heard, said),
            Lesson::Name { heard, name } => misheard_name(grammar, by_ear, heard, name).into_iter().collect(),
        }
    }
}

impl Learnt {
    /// Where it is kept; `home` is the folder of the record.
    pub fn place(home: &Path) -> PathBuf {
        home.join(FILE)
    }

    /// What was learnt so far; nothing if there is no file yet.
    ///
    /// # Errors
    /// The file can't be read, or there is a slip in it.
    pub fn load(home: &Path) -> Result<Learnt, OwnFileError> {
        read(&Learnt::place(home), WHAT)
    }

    /// Keeps it: whole, or as it was before.
    ///
    /// # Errors
    /// The file can't be written.
    pub fn save(&self, home: &Path) -> Result<(), OwnFileError> {
        write(&Learnt::place(home), WHAT, HEAD, self)
    }

    /// Takes a lesson. What was learnt before and would have helped has helped once more; the same misheard words with
    /// another meaning have misled.
    pub fn learn(&mut self, grammar: &Grammar, by_ear: &ByEar, lesson: &Lesson) {
        for (heard, means) in lesson.misheard(grammar, by_ear) {
            for other in self
                .alias
                .iter_mut()
                .filter(|one| one.heard == heard && one.means != means)
            {
                other.misled += 1;
            }
            match self
                .alias
                .iter_mut()
                .find(|one| one.heard == heard && one.means == means)
            {
                Some(known) => known.helped += 1,
                None => self.alias.push(Alias {
                    heard,
                    means,
                    helped: 1,
                    misled: 0,
                }),
            }
        }
        if self.alias.len() > MOST {
            self.alias.sort_by_key(|alias| std::cmp::Reverse(alias.helped));
            self.alias.truncate(MOST);
        }
    }

    /// Takes in what was learnt elsewhere meanwhile: of each alias, what was seen of it most.
    pub fn take_in(&mut self, other: &Learnt) {
        for theirs in &other.alias {
            let same = |mine: &&mut Alias| mine.heard == theirs.heard && mine.means == theirs.means;
            match self.alias.iter_mut().find(same) {
                Some(mine) => {
                    mine.helped = mine.helped.max(theirs.helped);
                    mine.misled = mine.misled.max(theirs.misled);
                }
                None => self.alias.push(theirs.clone()),
            }
        }
    }

    /// A reading that leaned on aliases was confirmed or not: `heard` as the model wrote it, `said` as it was read.
    pub fn leaned(&mut self, grammar: &Grammar, heard: &str, said: &str, confirmed: bool) {
        let holds = |text: &str, part: &str| {
            let (words, part) = (grammar.words(text), grammar.words(part));
            !part.is_empty() && words.windows(part.len()).any(|stretch| stretch == part)
        };
        for alias in self.alias.iter_mut().filter(|alias| alias.is_trusted()) {
            if holds(heard, &alias.heard) && holds(said, &alias.means) {
                match confirmed {
                    true => alias.helped += 1,
                    false => alias.misled += 1,
                }
            }
        }
    }

    /// Forgets what these misheard words stand for. False if nothing was learnt of them.
    pub fn forget(&mut self, heard: &str) -> bool {
        let before = self.alias.len();
        self.alias.retain(|alias| alias.heard != heard);
        self.alias.len() < before
    }

    /// The aliases that have been seen to help, as the recogniser takes them.
    pub fn aliases(&self, grammar: &Grammar) -> Aliases {
        let trusted = self.alias.iter().filter(|alias| alias.is_trusted());
        Aliases::new(trusted.map(|alias| (grammar.words(&alias.heard), grammar.words(&alias.means))))
    }

    /// What became of the readings of a model.
    pub fn trust(&mut self, model: &str) -> &mut Trust {
        self.trust.entry(model.to_string()).or_default()
    }

    /// See [`Trust::shift`].
    pub fn shift(&self, model: &str) -> f32 {
        self.trust.get(model).map_or(0.0, Trust::shift)
    }
}

/// What somebody who opens the file should know.
const HEAD: &str = "\
# What couchside has learnt from your corrections. You may take out any [[alias]]; `couchside learnt` lists them.
# An alias is listened for once it has helped twice. The numbers under [trust] are how sure readings were that you
# confirmed, and that you did not: they set how sure is sure enough for you.

";
