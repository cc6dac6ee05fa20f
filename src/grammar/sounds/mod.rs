//! Words → phones: the trade's words by the grammar's own list, the rest of English by the CMU Pronouncing Dictionary,
//! and what neither has by its letters.

mod english;
mod letters;
pub mod phones;

use std::collections::{BTreeMap, HashMap};

use serde::Deserialize;
use toml::Spanned;

use super::check::Check;
use super::error::GrammarError;
use super::source::Source;
use letters::Letters;
use phones::Phone;

/// The ways to say a word, the usual one first.
pub type Ways = Vec<Vec<Phone>>;

/// The file of the trade's words, and that of the sounds of letters.
pub const WORDS: &str = "pronunciations.toml";
const LETTERS: &str = "english/letters.toml";

/// How words are pronounced.
#[derive(Clone, Debug)]
pub struct Pronunciations {
    words: HashMap<String, Ways>,
    letters: Letters,
}

/// One way to say a word, or several.
#[derive(Deserialize)]
#[serde(untagged)]
enum Said {
    One(String),
    Several(Vec<String>),
}

impl Pronunciations {
    /// Reads both files.
    pub(super) fn load(source: &Source) -> Result<Pronunciations, GrammarError> {
        let words: BTreeMap<String, Spanned<Said>> = source.read(WORDS)?;
        let words = words.into_iter().map(|(word, said)| {
            let at = said.span().start;
            let ways = match said.into_inner() {
                Said::One(way) => vec![way],
                Said::Several(ways) => ways,
            };
            let ways = ways.iter().map(|way| parsed(source, WORDS, at, way));
            Ok((word, ways.collect::<Result<Ways, GrammarError>>()?))
        });
        let words = words.collect::<Result<_, GrammarError>>()?;
        let letters: BTreeMap<String, Spanned<String>> = source.read(LETTERS)?;
        let letters = letters
            .into_iter()
            .map(|(run, way)| Ok((run, parsed(source, LETTERS, way.span().start, way.as_ref())?)));
        Ok(Pronunciations {
            words,
            letters: Letters::new(letters.collect::<Result<_, GrammarError>>()?),
        })
    }

    /// How a lower-case word may be pronounced. A word of no list is read by its letters.
    pub fn ways(&self, word: &str) -> Ways {
        self.listed(word)
            .unwrap_or_else(|| vec![self.letters.sounded(word)])
    }

    /// The same if a list has it, or its stem, or if it is spelt out; `None` if it would have to be guessed.
    pub fn listed(&self, word: &str) -> Option<Ways> {
        if let Some(known) = self.known(word) {
            return Some(known);
        }
        let possessive = word.strip_suffix("'s").or_else(|| word.strip_suffix('\''));
        let stems = [
            possessive,
            word.strip_suffix('s'),
            possessive.and_then(|stem| stem.strip_suffix('s')),
        ];
        if let Some(stem) = stems.into_iter().flatten().find_map(|stem| self.known(stem)) {
            return Some(stem.into_iter().map(with_s).collect());
        }
        let spelt = is_spelt_out(word).then(|| word.chars().flat_map(|letter| self.letter(letter)).collect());
        spelt.map(|way| vec![way])
    }

    fn known(&self, word: &str) -> Option<Ways> {
        self.words.get(word).cloned().or_else(|| english::ways(word))
    }

    fn letter(&self, letter: char) -> Vec<Phone> {
        // The article is written like a letter: as a letter it is the last of the ways.
        self.known(&letter.to_string())
            .and_then(|mut ways| ways.pop())
            .unwrap_or_default()
    }
}

fn parsed(source: &Source, file: &str, at: usize, way: &str) -> Result<Vec<Phone>, GrammarError> {
    let fault = |message: String| {
        let remedy = format!(
            "write its sounds, with spaces between them: {}",
            phones::NAMES.join(" ")
        );
        GrammarError::at(file, source.text(file), at, message, remedy).found_by(Check::Pronounced)
    };
    match phones::parse(way) {
        Ok(phones) if phones.is_empty() => Err(fault("this pronunciation is empty".into())),
        Ok(phones) => Ok(phones),
        Err(other) => Err(fault(format!("`{other}` is not a sound of English"))),
    }
}

/// An abbreviation: a short word that cannot be read aloud.
fn is_spelt_out(word: &str) -> bool {
    let letters = word.chars().all(|c| c.is_ascii_lowercase());
    letters && (word.len() == 1 || word.len() <= 5 && !word.contains(['a', 'e', 'i', 'o', 'u', 'y']))
}

/// A plural or possessive.
fn with_s(mut stem: Vec<Phone>) -> Vec<Phone> {
    let last = stem.last().map_or("", |&phone| phones::NAMES[phone as usize]);
    let ending: &[&str] = match last {
        "S" | "Z" | "SH" | "ZH" | "CH" | "JH" => &["IH", "Z"],
        "P" | "T" | "K" | "F" | "TH" => &["S"],
        _ => &["Z"],
    };
    stem.extend(ending.iter().filter_map(|name| phones::named(name)));
    stem
}
