//! grammars/ → [`Grammar`]: reads each file, checks it, and builds the automaton.

use std::collections::{BTreeMap, HashSet};

use serde::de::DeserializeOwned;
use serde::de::IntoDeserializer;
use serde::de::value::{Error as ValueError, StrDeserializer};

use super::automaton::{Automaton, FragmentId, Step};
use super::error::GrammarError;
use super::file::{
    Fillers, JointFile, List, NumberWords, Phrase, Several, SoundsAlike, Wording, Words, WrittenForms,
};
use super::fragment::{Fill, Fragment};
use super::lexicon::Lexicon;
use super::numbers::{self, Class};
use super::pattern::{Piece, expand};
use super::readback::ReadbackFile;
use super::source::Source;
use super::text::Writing;
use super::{Grammar, Joint, Movement, Spelling};

/// Files that hold one list.
const LISTS: [&str; 7] = [
    "sides.toml",
    "modes.toml",
    "end-feels.toml",
    "ranges.toml",
    "powers.toml",
    "signs.toml",
    "controls.toml",
];
/// Files that hold several lists and phrases.
const SEVERAL: [&str; 4] = ["pain.toml", "degrees.toml", "strength.toml", "copies.toml"];

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
        signs: HashSet::new(),
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
    loader.file = "fillers.toml".into();
    let fillers: Fillers = source.read("fillers.toml")?;
    for (words, heard) in [(&fillers.heard, true), (&fillers.words, false)] {
        let filler = loader.automaton.add_fragment(Fragment {
            fill: Fill::Filler { heard },
            after: false,
        });
        for word in words {
            loader.wording(word, "", filler)?;
        }
    }
    let talk: Words = source.read("talk.toml")?;
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
    Ok(Grammar {
        version: source.version(),
        lexicon: loader.lexicon,
        automaton: loader.automaton,
        joints: loader.joints,
        alike: alike
            .pair
            .iter()
            .map(|pair| pair.words.as_ref().clone())
            .collect(),
        talk: talk
            .words
            .iter()
            .map(|word| word.as_ref().to_lowercase())
            .collect(),
        writing,
        spellings,
        readback: readback.with(told_apart),
    })
}

struct Loader<'a> {
    source: &'a Source,
    file: String,
    lexicon: Lexicon,
    automaton: Automaton,
    joints: Vec<Joint>,
    signs: HashSet<String>,
}

impl Loader<'_> {
    fn fault(&self, offset: usize, message: impl Into<String>, remedy: impl Into<String>) -> GrammarError {
        GrammarError::at(&self.file, self.source.text(&self.file), offset, message, remedy)
    }

    /// The contract's value with this name.
    fn known<T: DeserializeOwned>(&self, value: &Wording) -> Result<T, GrammarError> {
        let name: StrDeserializer<'_, ValueError> = value.as_ref().as_str().into_deserializer();
        T::deserialize(name).map_err(|error| {
            self.fault(
                value.span().start,
                format!("`{}` is not a value of this slot: {error}", value.as_ref()),
                "use one of the names listed; what is said for it may be anything",
            )
        })
    }

    fn list(&mut self, list: &List) -> Result<(), GrammarError> {
        for value in &list.value {
            let name = value.is.as_ref().clone();
            let fill = match list.slot.as_ref().as_str() {
                "side" => Fill::Side(self.known(&value.is)?),
                "mode" => Fill::Mode(self.known(&value.is)?),
                "range" => Fill::Range(name),
                "end feel" => Fill::EndFeel(name),
                "power" => Fill::Power(name),
                "pain" => match name.as_str() {
                    "felt" => Fill::PainFelt(true),
                    "none" => Fill::PainFelt(false),
                    _ => {
                        let message = format!("pain is `felt` or `none`, not `{name}`");
                        return Err(self.fault(value.is.span().start, message, "use one of the two"));
                    }
                },
                "pain when" => Fill::PainWhen(name),
                "sign" => {
                    self.signs.insert(name.clone());
                    Fill::Sign(name)
                }
                "control" => Fill::Control {
                    control: self.known(&value.is)?,
                    opens: value.opens,
                },
                _ => return Err(self.unknown_slot(&list.slot)),
            };
            let fragment = self.automaton.add_fragment(Fragment {
                fill: fill.clone(),
                after: false,
            });
            let after = self.automaton.add_fragment(Fragment { fill, after: true });
            for said in &value.said {
                for (frames, fragment) in [(&list.phrases, fragment), (&list.phrases_after, after)] {
                    for frame in frames {
                        self.framed(frame, said, fragment)?;
                    }
                }
            }
        }
        Ok(())
    }

    fn unknown_slot(&self, slot: &Wording) -> GrammarError {
        self.fault(
            slot.span().start,
            format!("there is no slot `{}`", slot.as_ref()),
            "`grammars/README.md` lists the slots",
        )
    }

    /// Adds `said`, which may itself hold brackets, inside its frame.
    fn framed(&mut self, frame: &Wording, said: &Wording, fragment: FragmentId) -> Result<(), GrammarError> {
        for words in self.plain_words(said)? {
            self.wording(frame, &words.join(" "), fragment)?;
        }
        Ok(())
    }

    /// Every sentence of a wording that holds no number.
    fn plain_words(&self, said: &Wording) -> Result<Vec<Vec<String>>, GrammarError> {
        let word = |piece| match piece {
            Piece::Word(word) => Ok(word),
            Piece::Number(name) => Err(self.fault(
                said.span().start,
                format!("a number `{{{name}}}` can't stand in the name of a value"),
                "write the words only",
            )),
        };
        self.expanded(said, "")?
            .into_iter()
            .map(|pieces| pieces.into_iter().map(word).collect())
            .collect()
    }

    fn expanded(&self, wording: &Wording, value: &str) -> Result<Vec<Vec<Piece>>, GrammarError> {
        expand(wording.as_ref(), value).map_err(|(at, message)| {
            // Past the opening quote.
            let offset = wording.span().start + 1 + at;
            self.fault(
                offset,
                message,
                "`[ ]` may be left out, `( | )` is a choice; close what is opened",
            )
        })
    }

    fn wording(&mut self, wording: &Wording, value: &str, fragment: FragmentId) -> Result<(), GrammarError> {
        for pieces in self.expanded(wording, value)? {
            let mut steps = Vec::with_capacity(pieces.len());
            for piece in &pieces {
                steps.push(match piece {
                    Piece::Word(word) => Step::Word(self.lexicon.add(word)),
                    Piece::Number(name) => Step::Number(Class::named(name).ok_or_else(|| {
                        self.fault(
                            wording.span().start,
                            format!("there is no kind of number `{{{name}}}`"),
                            format!("use {}", Class::NAMES),
                        )
                    })?),
                });
            }
            self.automaton.add_wording(&steps, fragment);
        }
        Ok(())
    }

    fn phrase(&mut self, phrase: &Phrase) -> Result<(), GrammarError> {
        let (fill, numbers) = match phrase.slot.as_ref().as_str() {
            "degrees" => (Fill::Degrees, 1),
            "degrees short" => (Fill::DegreesShort, 1),
            "degrees past" => (Fill::DegreesPast, 1),
            "span" => (Fill::Span, 2),
            "number" => (Fill::Number, 1),
            "strength" => (Fill::Strength, 1),
            "pain score" => (Fill::PainScore, 1),
            "pain arc" => (Fill::PainArc, 2),
            "copy" => (Fill::Copy, 0),
            "note" => (Fill::Note, 0),
            _ => return Err(self.unknown_slot(&phrase.slot)),
        };
        let fragment = self.automaton.add_fragment(Fragment { fill, after: false });
        for said in &phrase.said {
            for pieces in self.expanded(said, "")? {
                let given = pieces
                    .iter()
                    .filter(|piece| matches!(piece, Piece::Number(_)))
                    .count();
                if given != numbers {
                    return Err(self.fault(
                        said.span().start,
                        format!(
                            "a wording of `{}` must hold {numbers} numbers, not {given}",
                            phrase.slot.as_ref()
                        ),
                        "write a number outside `[ ]`, so that it is always said",
                    ));
                }
            }
            self.wording(said, "", fragment)?;
        }
        Ok(())
    }

    fn joints(&mut self) -> Result<(), GrammarError> {
        // One wording may name movements of several joints: it becomes one fragment that lists them all.
        let mut movements: BTreeMap<Vec<String>, Vec<(usize, usize)>> = BTreeMap::new();
        for file in self.source.under("joints") {
            self.file = file.clone();
            let entry: JointFile = self.source.read(&file)?;
            let joint = self.joints.len();
            let fragment = self.automaton.add_fragment(Fragment {
                fill: Fill::Joint(joint),
                after: false,
            });
            for said in &entry.said {
                self.wording(said, "", fragment)?;
            }
            for (number, movement) in entry.movement.iter().enumerate() {
                if movement.reach.as_ref()[0] >= movement.reach.as_ref()[1] {
                    return Err(self.fault(
                        movement.reach.span().start,
                        "the lowest degrees of `reach` must be below the highest",
                        "write the lowest first, as in [-20, 150]",
                    ));
                }
                for trick in &movement.tricks {
                    if !self.signs.contains(trick.as_ref()) {
                        return Err(self.fault(
                            trick.span().start,
                            format!("there is no sign `{}`", trick.as_ref()),
                            "add it to signs.toml, with how it is said",
                        ));
                    }
                }
                for said in &movement.said {
                    for words in self.plain_words(said)? {
                        let candidates = movements.entry(words).or_default();
                        if let Some(&(_, other)) =
                            candidates.iter().find(|(j, m)| *j == joint && *m != number)
                        {
                            return Err(self.fault(
                                said.span().start,
                                format!(
                                    "`{}` already means {} of this joint",
                                    said.as_ref(),
                                    entry.movement[other].is.as_ref()
                                ),
                                "one wording may mean one movement of a joint only",
                            ));
                        }
                        if !candidates.contains(&(joint, number)) {
                            candidates.push((joint, number));
                        }
                    }
                }
            }
            let span = match &entry.span {
                None => None,
                Some(names) => {
                    let mut found = [0; 2];
                    for (place, name) in found.iter_mut().zip(names) {
                        let position = entry.movement.iter().position(|m| m.is.as_ref() == name.as_ref());
                        *place = position.ok_or_else(|| {
                            self.fault(
                                name.span().start,
                                format!("this joint has no movement `{}`", name.as_ref()),
                                "name one of the movements below",
                            )
                        })?;
                    }
                    Some(found)
                }
            };
            self.joints.push(Joint {
                name: entry.joint.as_ref().clone(),
                sided: entry.sided,
                span,
                movements: entry
                    .movement
                    .iter()
                    .map(|m| Movement {
                        name: m.is.as_ref().clone(),
                        reach: *m.reach.as_ref(),
                        tricks: m.tricks.iter().map(|trick| trick.as_ref().clone()).collect(),
                    })
                    .collect(),
            });
        }
        for (words, candidates) in movements {
            let fragment = self.automaton.add_fragment(Fragment {
                fill: Fill::Movement(candidates),
                after: false,
            });
            let steps: Vec<Step> = words
                .iter()
                .map(|word| Step::Word(self.lexicon.add(word)))
                .collect();
            self.automaton.add_wording(&steps, fragment);
        }
        Ok(())
    }
}
