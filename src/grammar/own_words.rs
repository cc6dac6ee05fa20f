//! A therapist's own words: `words.toml` in the data folder, beside the record. It teaches the program other ways to
//! say what the grammar already knows, without touching the project.

use std::fmt;
use std::path::{Path, PathBuf};

use serde::de::{MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer};
use toml::Spanned;

use super::Source;
use super::error::GrammarError;
use super::file::{Text, Wording};

/// The file's name.
pub const FILE: &str = "words.toml";

/// Why the program can't go on with its words and the therapist's.
#[derive(Debug, thiserror::Error)]
pub enum WordsError {
    /// The words that the program carries are broken.
    #[error("the grammar can't be used: {0}")]
    Carried(Box<GrammarError>),
    /// The file is there but can't be read.
    #[error(
        "your own words in {} can't be read: {source}\n\
         Save the file again as plain text, or move it away to go on without your own words",
        path.display()
    )]
    Unreadable { path: PathBuf, source: std::io::Error },
    /// There is a slip in the file.
    #[error(
        "your own words can't be used: {0}\n\
         Correct that line, or move the file away to go on without your own words"
    )]
    Slip(Box<GrammarError>),
}

/// Where the file is looked for; `home` is the folder of the record.
pub fn place(home: &Path) -> PathBuf {
    home.join(FILE)
}

/// The text of the file; `None` if there is none.
///
/// # Errors
/// [`WordsError::Unreadable`]: it is there but is no readable text.
pub fn read(home: &Path) -> Result<Option<String>, WordsError> {
    let path = place(home);
    match std::fs::read_to_string(&path) {
        Ok(text) => Ok(Some(text)),
        Err(source) if source.kind() == std::io::ErrorKind::NotFound => Ok(None),
        Err(source) => Err(WordsError::Unreadable { path, source }),
    }
}

/// The files that the program carries, with the therapist's own words if there are any.
///
/// # Errors
/// [`WordsError::Unreadable`].
pub fn source(home: &Path) -> Result<Source, WordsError> {
    let carried = Source::carried();
    Ok(match read(home)? {
        Some(text) => carried.with_own_words(text, &place(home)),
        None => carried,
    })
}

/// A fault as the program ends with it: one in the therapist's own words says how to go on without them.
pub fn explain(source: &Source, fault: GrammarError) -> WordsError {
    if source.shown(FILE) == fault.file() {
        WordsError::Slip(Box::new(fault))
    } else {
        WordsError::Carried(Box::new(fault))
    }
}

/// The shape of the file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OwnWords {
    #[serde(default)]
    pub add: Vec<Addition>,
}

/// New wordings for something that the grammar knows.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Addition {
    pub say: Spanned<Say>,
    /// A wording or the name of a value.
    pub means: Text,
    /// The place of the finding, where `means` has a meaning in several.
    #[serde(default)]
    pub of: Option<Text>,
}

/// One wording or a list of them.
pub struct Say(Vec<Wording>);

impl Addition {
    /// The new wordings, each with its place in the file.
    pub fn wordings(&self) -> &[Wording] {
        &self.say.as_ref().0
    }
}

impl<'de> Deserialize<'de> for Say {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Say, D::Error> {
        deserializer.deserialize_any(OneOrMany)
    }
}

struct OneOrMany;

impl<'de> Visitor<'de> for OneOrMany {
    type Value = Say;

    fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("words in quotation marks, or several in [ ]")
    }

    fn visit_str<E>(self, text: &str) -> Result<Say, E> {
        // Where it stands is known one level further out; see `parse`.
        Ok(Say(vec![Wording {
            text: Spanned::new(0..0, text.to_string()),
            weight: None,
        }]))
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Say, A::Error> {
        Wording::weighted(map).map(|wording| Say(vec![wording]))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Say, A::Error> {
        let mut wordings = Vec::new();
        while let Some(wording) = list.next_element::<Wording>()? {
            wordings.push(wording);
        }
        Ok(Say(wordings))
    }
}

/// Reads the file's text; `shown` is its name for messages.
///
/// # Errors
/// It is not laid out as such a file is.
pub fn parse(text: &str, shown: &str) -> Result<OwnWords, GrammarError> {
    let mut words: OwnWords = toml::from_str(text).map_err(|error| {
        GrammarError::at(
            shown,
            text,
            error.span().map_or(0, |span| span.start),
            error.message().replace('\n', "; "),
            "`couchside grammar words` shows how this file is laid out",
        )
    })?;
    for addition in &mut words.add {
        let span = addition.say.span();
        for wording in &mut addition.say.get_mut().0 {
            if wording.span().is_empty() {
                wording.text = Spanned::new(span.clone(), wording.as_ref().clone());
            }
        }
        if addition.wordings().is_empty() {
            return Err(GrammarError::at(
                shown,
                text,
                span.start,
                "`say` is empty",
                "write what you say in it, between quotation marks",
            ));
        }
    }
    Ok(words)
}
