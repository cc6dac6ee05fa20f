//! The trade's words in memory. They live as data in `grammars/`; no word of the trade is written in Rust.
//!
//! One automaton serves every way to be heard: the text parser ([`Grammar::words`], [`automaton::Automaton::matches`])
//! and the recogniser's search ([`phrase_state`]) walk the same wordings.

pub mod automaton;
pub mod check;
mod cue;
pub mod draw;
mod error;
pub mod export;
pub mod facts;
mod file;
pub mod fragment;
pub mod guide;
pub mod lexicon;
mod load;
pub mod numbers;
pub mod own_words;
mod pattern;
pub mod phrase_state;
pub mod readback;
pub mod size;
mod slot_names;
pub mod sounds;
mod source;
mod text;
pub mod weight;
mod wording;
mod wordings;

use std::collections::HashSet;

pub use error::GrammarError;
pub use file::Usual;
pub use source::Source;

use automaton::Automaton;
use lexicon::{Lexicon, Word};
use readback::Readback;
use sounds::Pronunciations;
use text::Writing;

/// A movement of a joint.
#[derive(Clone, Debug)]
pub struct Movement {
    pub name: String,
    /// Lowest and highest degrees that are believed; beyond them a number was misheard.
    pub reach: [i32; 2],
    /// What is tabulated for adults, if anything is.
    pub usual: Option<Usual>,
    /// Trick movements to watch for, as the signs are named.
    pub tricks: Vec<String>,
    /// There is one to the left and one to the right.
    pub sided: bool,
    /// How far it goes may be said by a mark on the body.
    pub landmarks: bool,
}

/// A joint.
#[derive(Clone, Debug)]
pub struct Joint {
    pub name: String,
    /// There is a left one and a right one.
    pub sided: bool,
    /// The two movements that a span through zero covers: towards straight, then away from it.
    pub span: Option<[usize; 2]>,
    pub movements: Vec<Movement>,
}

/// A muscle, or a group that is tested as one.
#[derive(Clone, Debug)]
pub struct Muscle {
    pub name: String,
    /// The joint at which it is tested.
    pub joint: String,
    pub sided: bool,
    /// How the name is said back, if otherwise than it is kept.
    pub say: Option<String>,
}

/// What a bare number after a test's name means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Scale {
    /// 0 to 3.
    Laxity,
    Degrees,
    /// So many of this many signs or tests.
    Count(i32),
    /// A unit of `measures.toml`, by the words in which it is kept; `{}` is the number.
    Unit(String),
}

/// A test that has a name.
#[derive(Clone, Debug)]
pub struct Test {
    pub name: String,
    /// The joints at which this test is meant where several share a name.
    pub joints: Vec<String>,
    pub sided: bool,
    /// How the name is said back, if otherwise than it is kept.
    pub say: Option<String>,
    pub scale: Option<Scale>,
}

/// Another way in which a recogniser writes a word.
#[derive(Clone, Debug)]
pub struct Spelling {
    pub word: Word,
    pub written: String,
}

/// Everything that can be said and what it means.
#[derive(Debug)]
pub struct Grammar {
    /// A short digest of the files, kept with every finding that they read.
    pub version: String,
    /// What the literature says of what is found.
    pub facts: facts::Facts,
    pub lexicon: Lexicon,
    pub automaton: Automaton,
    /// What each fragment is called in its file, by its number.
    pub names: Vec<String>,
    pub joints: Vec<Joint>,
    pub muscles: Vec<Muscle>,
    pub tests: Vec<Test>,
    /// Structures that are neither left nor right.
    pub midline: HashSet<String>,
    /// Signs that say that pain is felt.
    pub pain_signs: HashSet<String>,
    /// Times of pain in which nothing moves.
    pub still: HashSet<String>,
    /// How the client lies, sits or is held.
    pub positions: HashSet<String>,
    /// Words that mark talk between people.
    pub talk: HashSet<String>,
    /// Words that link what was examined to what was found, and are talk elsewhere.
    pub links: HashSet<String>,
    /// Whole utterances that are talk although the grammar knows every word of them.
    pub sayings: HashSet<Vec<String>>,
    /// Words that open a question.
    pub questions: HashSet<String>,
    /// Groups of words that sound alike: the recogniser always scores the others too.
    pub alike: Vec<Vec<String>>,
    pub spellings: Vec<Spelling>,
    pub readback: Readback,
    /// How words are pronounced.
    pub sounds: Pronunciations,
    writing: Writing,
}

impl Grammar {
    /// The grammar that the program carries.
    pub fn carried() -> Result<Grammar, GrammarError> {
        Grammar::load(&Source::carried())
    }

    /// Reads and checks grammar files; the error shows the file, the line and the remedy.
    pub fn load(source: &Source) -> Result<Grammar, GrammarError> {
        load::load(source)
    }

    /// The spoken words of a written text, lower case.
    pub fn words(&self, text: &str) -> Vec<String> {
        self.writing.words(text)
    }

    /// Whether a text opens free words: its first words are a wording of `note`.
    pub fn opens_note(&self, text: &str) -> bool {
        self.opens_with(text, |fill| *fill == fragment::Fill::Note)
    }

    /// Whether a text opens with a control word.
    pub fn opens_control(&self, text: &str) -> bool {
        self.opens_with(text, |fill| matches!(fill, fragment::Fill::Control { .. }))
    }

    fn opens_with(&self, text: &str, wanted: impl Fn(&fragment::Fill) -> bool) -> bool {
        let words = self.words(text);
        let begins = self.cue_in(&words);
        let words: Vec<_> = words.iter().map(|word| self.lexicon.number(word)).collect();
        let mut found = self.automaton.matches(&words, begins).into_iter();
        found.any(|found| wanted(&self.automaton.fragment(found.fragment).fill))
    }

    /// The joint with this name.
    pub fn joint(&self, name: &str) -> Option<&Joint> {
        self.joints.iter().find(|joint| joint.name == name)
    }

    /// The movement with this name at this joint.
    pub fn movement(&self, joint: &str, name: &str) -> Option<&Movement> {
        self.joint(joint)?
            .movements
            .iter()
            .find(|movement| movement.name == name)
    }

    /// The muscle with this name.
    pub fn muscle(&self, name: &str) -> Option<&Muscle> {
        self.muscles.iter().find(|muscle| muscle.name == name)
    }

    /// The test with this name.
    pub fn test(&self, name: &str) -> Option<&Test> {
        self.tests.iter().find(|test| test.name == name)
    }
}
