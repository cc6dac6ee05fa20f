//! grammars/ → [`Grammar`]: reads each file, checks it, and builds the automaton.

mod cue;
mod joints;
mod own_words;
mod slots;
mod spoken;
mod subjects;
mod wordings;

use std::collections::{BTreeMap, HashSet};

use serde::de::DeserializeOwned;
use serde::de::IntoDeserializer;
use serde::de::value::{Error as ValueError, StrDeserializer};

use super::automaton::{Automaton, FragmentId};
use super::error::GrammarError;
use super::facts::Facts;
use super::file::{Fillers, Frames, List, NumberWords, Several, SoundsAlike, TalkFile, Text, WrittenForms};
use super::fragment::{Fill, Fragment};
use super::lexicon::Lexicon;
use super::numbers;
use super::readback::ReadbackFile;
use super::sounds::Pronunciations;
use super::source::Source;
use super::text::Writing;
use super::weight::Weight;
use super::{Grammar, Joint, Muscle, Spelling, Test};

/// Files that hold one list.
const LISTS: [&str; 23] = [
    "sides.toml",
    "other-side.toml",
    "as-side.toml",
    "modes.toml",
    "positions.toml",
    "levels.toml",
    "end-feels.toml",
    "ranges.toml",
    "powers.toml",
    "results.toml",
    "landmarks.toml",
    "structures.toml",
    "signs.toml",
    "range-signs.toml",
    "test-signs.toml",
    "palpation.toml",
    "reasons.toml",
    "reasons-why.toml",
    "normal.toml",
    "local-signs.toml",
    "pain-kinds.toml",
    "observations.toml",
    "controls.toml",
];
/// Files that hold several lists and phrases.
const SEVERAL: [&str; 7] = [
    "pain.toml",
    "degrees.toml",
    "strength.toml",
    "girths.toml",
    "measures.toml",
    "asked.toml",
    "copies.toml",
];

/// Reads and checks the files and builds the grammar.
pub fn load(source: &Source) -> Result<Grammar, GrammarError> {
    let number_words: NumberWords = source.read("numbers.toml")?;
    let mut lexicon = Lexicon::default();
    let tries = numbers::tries(&number_words, &mut lexicon);
    let mut loader = Loader {
        source,
        file: String::new(),
        lexicon,
        automaton: Automaton::new(tries),
        joints: Vec::new(),
        muscles: Vec::new(),
        tests: Vec::new(),
        units: BTreeMap::new(),
        signs: HashSet::new(),
        midline: HashSet::new(),
        pain_signs: HashSet::new(),
        still: HashSet::new(),
        positions: HashSet::new(),
        names: Vec::new(),
        controls: Vec::new(),
    };
    for file in LISTS {
        loader.file = file.to_string();
        let list: List = source.read(file)?;
        loader.list(&list)?;
    }
    for file in SEVERAL {
        loader.file = file.to_string();
        let several: Several = source.read(file)?;
        for list in &several.list {
            loader.list(list)?;
        }
        for phrase in &several.phrase {
            loader.phrase(phrase)?;
        }
    }
    loader.joints()?;
    loader.file = "frames.toml".into();
    let frames: Frames = source.read("frames.toml")?;
    let (muscles, tests) = (loader.around(&frames.muscles)?, loader.around(&frames.tests)?);
    loader.muscles(&muscles)?;
    loader.tests(&tests)?;
    loader.file = "fillers.toml".into();
    let fillers: Fillers = source.read("fillers.toml")?;
    for (words, heard) in [(&fillers.heard, true), (&fillers.words, false)] {
        let filler = loader.add(Fill::Filler { heard }, "a filler");
        for word in words {
            loader.wording(word, "", filler, &word.text, Weight::NONE)?;
        }
    }
    loader.own_words()?;
    loader.cue();
    let talk: TalkFile = source.read("talk.toml")?;
    loader.file = "talk.toml".into();
    let mut sayings = HashSet::new();
    for saying in &talk.sayings {
        sayings.extend(loader.plain_words(saying)?);
    }
    let forms: WrittenForms = source.read("written-forms.toml")?;
    let writing = Writing::new(&forms, "written-forms.toml", source.text("written-forms.toml"))?;
    let spellings = forms
        .spelt
        .iter()
        .flat_map(|(word, spelt)| spelt.iter().map(move |written| (word, written)))
        .filter_map(|(word, written)| {
            let word = loader.lexicon.number(word)?;
            Some(Spelling {
                word,
                written: written.clone(),
            })
        })
        .collect();
    let alike: SoundsAlike = source.read("sounds-alike.toml")?;
    loader.file = "sounds-alike.toml".into();
    let mut told_apart = BTreeMap::new();
    for pair in &alike.pair {
        if !pair.say.is_empty() && pair.words.as_ref().len() != pair.say.len() {
            return Err(loader.fault(
                pair.words.span().start,
                "each word of a pair needs its own read-back wording",
                "give as many entries in `say` as in `words`",
            ));
        }
        told_apart.extend(pair.words.as_ref().iter().cloned().zip(pair.say.iter().cloned()));
    }
    let readback: ReadbackFile = source.read("readback.toml")?;
    spoken::check(source, &loader.controls)?;
    let grammar = Grammar {
        version: source.version(),
        facts: Facts::load(source)?,
        lexicon: loader.lexicon,
        automaton: loader.automaton,
        names: loader.names,
        joints: loader.joints,
        muscles: loader.muscles,
        tests: loader.tests,
        midline: loader.midline,
        pain_signs: loader.pain_signs,
        still: loader.still,
        positions: loader.positions,
        alike: alike
            .pair
            .iter()
            .map(|pair| pair.words.as_ref().clone())
            .collect(),
        talk: lower_case(&talk.words),
        links: lower_case(&fillers.links),
        sayings,
        questions: lower_case(&talk.questions),
        writing,
        spellings,
        sounds: Pronunciations::load(source)?,
        readback: readback.with(told_apart),
    };
    match grammar.facts.unknown(&grammar).into_iter().next() {
        None => Ok(grammar),
        Some((file, name)) => Err(GrammarError::at(
            file,
            source.text(file),
            0,
            format!("the vocabulary has no {name}"),
            "name a movement, muscle or test as its own file does",
        )),
    }
}

struct Loader<'a> {
    source: &'a Source,
    file: String,
    lexicon: Lexicon,
    automaton: Automaton,
    joints: Vec<Joint>,
    muscles: Vec<Muscle>,
    tests: Vec<Test>,
    /// The words in which a number of each unit is kept.
    units: BTreeMap<String, String>,
    signs: HashSet<String>,
    /// Structures that are neither left nor right.
    midline: HashSet<String>,
    /// Signs that say that pain is felt.
    pain_signs: HashSet<String>,
    /// Times of pain in which nothing moves.
    still: HashSet<String>,
    /// How the client lies, sits or is held.
    positions: HashSet<String>,
    /// What each fragment is called, by its number.
    names: Vec<String>,
    /// Every wording of a control word.
    controls: Vec<Vec<String>>,
}

fn lower_case(words: &[Text]) -> HashSet<String> {
    words.iter().map(|word| word.as_ref().to_lowercase()).collect()
}

impl Loader<'_> {
    fn fault(&self, offset: usize, message: impl Into<String>, remedy: impl Into<String>) -> GrammarError {
        GrammarError::at(
            self.source.shown(&self.file),
            self.source.text(&self.file),
            offset,
            message,
            remedy,
        )
    }

    fn add(&mut self, fill: Fill, name: &str) -> FragmentId {
        self.names.push(name.to_string());
        self.automaton.add_fragment(Fragment {
            fill,
            after: false,
            place: None,
            with_result: false,
        })
    }

    /// The contract's value with this name.
    fn known<T: DeserializeOwned>(&self, value: &Text) -> Result<T, GrammarError> {
        let name: StrDeserializer<'_, ValueError> = value.as_ref().as_str().into_deserializer();
        T::deserialize(name).map_err(|error| {
            let error = error.to_string();
            let listed = error.split_once("expected ").map_or("", |(_, listed)| listed);
            self.fault(
                value.span().start,
                format!(
                    "`{}` is not a value of this slot: it takes {listed}",
                    value.as_ref()
                ),
                "use one of the names listed; what is said for it may be anything",
            )
        })
    }
}
