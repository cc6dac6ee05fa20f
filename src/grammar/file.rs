//! The shape of the files in `grammars/`. Their README explains each key to the people who edit them.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use toml::Spanned;

pub use super::wording::{Text, Wording};

/// A list of values for one slot.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct List {
    pub slot: Text,
    #[serde(default)]
    pub phrases: Vec<Wording>,
    #[serde(default)]
    pub phrases_after: Vec<Wording>,
    pub value: Vec<Value>,
}

/// One value of a list and how it is said.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Value {
    pub is: Text,
    pub said: Vec<Wording>,
    /// Control words only: it opens an utterance instead of being one.
    #[serde(default)]
    pub opens: bool,
    /// Control words only: people also say it to each other.
    #[serde(default)]
    pub everyday: bool,
    /// Structures only: `false` for what lies in the midline.
    #[serde(default = "yes")]
    pub sided: bool,
    /// Times of pain only: nothing moves then, so that such pain is of the joint and of no movement.
    #[serde(default)]
    pub still: bool,
    /// Signs of the range only: the range in words that they say too.
    #[serde(default)]
    pub range: Option<String>,
}

/// Wordings around a number, or with no value of their own.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Phrase {
    pub slot: Text,
    /// How the number is kept, in words; `{}` is the number.
    #[serde(default)]
    pub is: Option<String>,
    /// After a sign it is where the sign was, not how far the movement went; `is` says how that is kept.
    #[serde(default)]
    pub place: bool,
    /// The unit that a test may be measured in.
    #[serde(default)]
    pub unit: Option<String>,
    pub said: Vec<Wording>,
}

/// A file of several lists and phrases.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Several {
    #[serde(default)]
    pub list: Vec<List>,
    #[serde(default)]
    pub phrase: Vec<Phrase>,
}

/// A joint and its movements.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JointFile {
    pub joint: Text,
    pub said: Vec<Wording>,
    pub sided: bool,
    #[serde(default)]
    pub span: Option<[Text; 2]>,
    pub movement: Vec<MovementEntry>,
}

/// One movement of a joint.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MovementEntry {
    pub is: Text,
    pub said: Vec<Wording>,
    pub reach: Spanned<[i32; 2]>,
    #[serde(default)]
    pub usual: Option<Spanned<Usual>>,
    #[serde(default)]
    pub tricks: Vec<Text>,
    /// There is one to the left and one to the right, or none, whatever the joint says.
    #[serde(default)]
    pub sided: Option<bool>,
    /// How far it goes may be said by a mark on the body.
    #[serde(default)]
    pub landmarks: bool,
}

/// What the literature tabulates for adults: shown beside what was measured, and no limit of what is normal.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Usual {
    /// Degrees, the lowest tabulated value and the highest.
    pub from: i32,
    pub to: i32,
    /// Whether the source was seen.
    pub status: String,
    /// Who tabulates it.
    pub source: String,
}

/// The muscles of a region.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MuscleFile {
    pub muscle: Vec<MuscleEntry>,
}

/// A muscle or a group that is tested as one.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MuscleEntry {
    pub is: Text,
    pub joint: String,
    pub said: Vec<Wording>,
    /// Wordings that are meant only with the grade right after them.
    #[serde(default)]
    pub said_with_result: Vec<Wording>,
    #[serde(default = "yes")]
    pub sided: bool,
    #[serde(default)]
    pub say: Option<String>,
    /// Wordings that also say how it was tested.
    #[serde(default)]
    pub wording: Vec<LevelWording>,
}

/// Wordings of a muscle that also say how it was tested.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LevelWording {
    pub level: String,
    pub said: Vec<Wording>,
}

/// The tests of a region.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TestFile {
    pub test: Vec<TestEntry>,
}

/// A test that has a name.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TestEntry {
    pub is: Text,
    pub joints: Vec<String>,
    #[serde(default)]
    pub said: Vec<Wording>,
    /// Wordings that stand without a frame.
    #[serde(default)]
    pub said_whole: Vec<Wording>,
    /// Wordings that are meant only with the result right after them.
    #[serde(default)]
    pub said_with_result: Vec<Wording>,
    #[serde(default = "yes")]
    pub sided: bool,
    #[serde(default)]
    pub say: Option<String>,
    #[serde(default)]
    pub scale: Option<Text>,
    /// The highest number of a count.
    #[serde(default)]
    pub most: Option<i32>,
    /// Words that are a result of this test only.
    #[serde(default)]
    pub finding_words: Vec<ResultWords>,
}

/// Words that are a result of one test only.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ResultWords {
    pub said: Vec<Wording>,
    pub result: String,
}

fn yes() -> bool {
    true
}

/// What is said around the names of muscles and tests.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Frames {
    pub muscles: Vec<Wording>,
    pub tests: Vec<Wording>,
}

/// Words without meaning between fragments.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fillers {
    /// Those that the recogniser's search listens for too.
    pub heard: Vec<Wording>,
    pub words: Vec<Wording>,
    /// Words that are nothing but a link between what was examined and what was found; elsewhere they are talk.
    pub links: Vec<Text>,
}

/// What people say to each other.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TalkFile {
    pub words: Vec<Text>,
    /// Whole utterances.
    pub sayings: Vec<Text>,
    /// Words that open a question.
    pub questions: Vec<Text>,
}

/// The words that numbers are made of.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NumberWords {
    pub hundred: Vec<String>,
    pub a: Vec<String>,
    /// Zero, but only inside a longer number.
    pub oh: Vec<String>,
    pub and: Vec<String>,
    pub minus: Vec<String>,
    pub plus: Vec<String>,
    pub grade_minus: Vec<String>,
    pub units: BTreeMap<String, i32>,
    pub teens: BTreeMap<String, i32>,
    pub tens: BTreeMap<String, i32>,
}

/// How spoken words are written by recognisers and keyboards.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WrittenForms {
    pub form: Vec<Form>,
    pub spelt: BTreeMap<String, Vec<String>>,
}

/// One rewriting.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Form {
    pub pattern: Text,
    pub with: String,
}

/// Words that sound alike, and what the read-back says for each.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SoundsAlike {
    pub pair: Vec<Pair>,
}

/// One such pair, or more than two.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pair {
    pub words: Spanned<Vec<String>>,
    /// What the read-back says for each; without it, the word itself.
    #[serde(default)]
    pub say: Vec<String>,
}
