//! What can be said, on one page for a joint: big blocks of few words, to be read from the couch.
//!
//! The headings and the general wordings are in `guide.toml`; movements come from the joint's own file.

use std::collections::HashSet;

use serde::Deserialize;

use crate::interpret::fills;

use super::check::Check;
use super::error::GrammarError;
use super::file::{JointFile, MuscleEntry, MuscleFile, TestEntry, TestFile, Wording};
use super::pattern::{Piece, expand};
use super::{Grammar, Source};

const FILE: &str = "guide.toml";
/// Columns of the page.
const WIDTH: usize = 80;
/// Columns of the headings; what is said begins after them.
const MARGIN: usize = 16;
/// Between two wordings on a line.
const GAP: &str = "   ";

/// The shape of the file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GuideFile {
    /// How a finding is put together.
    intro: String,
    /// A finding of the joint, with its name and its first movement put in.
    example: String,
    /// What stands before the names of all joints, on the page without a joint.
    joints: String,
    /// How a file of one's own words is made.
    own_words: String,
    block: Vec<Block>,
}

/// A block of the page.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Block {
    heading: String,
    /// Wordings as they are said.
    #[serde(default)]
    say: Vec<Wording>,
    /// Places of the finding, each of whose values is named.
    #[serde(default)]
    slots: Vec<Wording>,
    /// What the joint has of its own.
    #[serde(default)]
    own: Option<Own>,
    /// Wordings with what each does.
    #[serde(default)]
    each: Vec<Each>,
}

/// What a joint has of its own.
#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Own {
    Movements,
    Muscles,
    Tests,
    Tricks,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Each {
    say: Wording,
    does: String,
}

/// What is tested by name.
#[derive(Default)]
struct Tested {
    muscles: Vec<MuscleEntry>,
    tests: Vec<TestEntry>,
}

impl Tested {
    /// One wording for each of a joint's muscles or tests, each wording once.
    fn of(&self, joint: &str, own: Option<Own>) -> Vec<String> {
        let first = |said: &[Wording]| said.iter().flat_map(sentences).next();
        let mut words: Vec<String> = match own {
            Some(Own::Muscles) => {
                let of_joint = self.muscles.iter().filter(|muscle| muscle.joint == joint);
                of_joint.filter_map(|muscle| first(&muscle.said)).collect()
            }
            Some(Own::Tests) => {
                let of_joint = self
                    .tests
                    .iter()
                    .filter(|test| test.joints.iter().any(|j| j == joint));
                of_joint
                    .filter_map(|test| first(&test.said).or_else(|| first(&test.said_whole)))
                    .collect()
            }
            _ => Vec::new(),
        };
        let mut met = HashSet::new();
        words.retain(|word| met.insert(word.clone()));
        words
    }
}

/// The page of the joint that `asked` names, by any of its wordings; without one, what holds for all joints. `None`:
/// there is no such joint.
///
/// # Errors
/// `guide.toml` or the joint's file can't be read.
pub fn page(source: &Source, grammar: &Grammar, asked: Option<&str>) -> Result<Option<String>, GrammarError> {
    let guide: GuideFile = source.read(FILE)?;
    let mut joints: Vec<JointFile> = Vec::new();
    for file in source.under("joints") {
        joints.push(source.read(&file)?);
    }
    let mut tested = Tested::default();
    for file in source.under("muscles") {
        tested.muscles.extend(source.read::<MuscleFile>(&file)?.muscle);
    }
    for file in source.under("tests") {
        tested.tests.extend(source.read::<TestFile>(&file)?.test);
    }
    let joint = match asked {
        None => None,
        Some(asked) => {
            let asked = grammar.words(asked).join(" ");
            let named = |joint: &&JointFile| {
                let mut names = joint.said.iter().flat_map(sentences);
                joint.joint.as_ref().to_lowercase() == asked || names.any(|name| name == asked)
            };
            match joints.iter().find(named) {
                Some(joint) => Some(joint),
                None => return Ok(None),
            }
        }
    };
    let mut page = Vec::new();
    if let Some(joint) = joint {
        page.push(joint.joint.as_ref().to_uppercase());
        page.push("=".repeat(WIDTH));
    }
    page.extend(wrapped(&guide.intro, WIDTH));
    page.push(String::new());
    if let Some(joint) = joint {
        page.extend(example(&guide.example, joint));
    }
    if joint.is_none() {
        let names: Vec<String> = joints.iter().map(|joint| joint.joint.as_ref().clone()).collect();
        page.extend(block(&guide.joints, lines(&names)));
    }
    for part in &guide.block {
        let said = said(grammar, part, joint, &tested);
        if !said.is_empty() {
            page.extend(block(&part.heading, said));
        }
    }
    while page.last().is_some_and(String::is_empty) {
        page.pop();
    }
    Ok(Some(page.join("\n") + "\n"))
}

/// A finding of this joint, as it may be said.
fn example(frame: &str, joint: &JointFile) -> Vec<String> {
    let first = |said: &[Wording]| said.iter().flat_map(sentences).next().unwrap_or_default();
    let movement = joint
        .movement
        .first()
        .map_or(String::new(), |movement| first(&movement.said));
    let side = if joint.sided { "right " } else { "" };
    let said = frame
        .replace("{side} ", side)
        .replace("{joint}", &first(&joint.said))
        .replace("{movement}", &movement);
    vec![format!("{:MARGIN$}\"{said}\"", ""), String::new()]
}

/// How a file of one's own words is made, with an example.
///
/// # Errors
/// `guide.toml` can't be read.
pub fn own_words(source: &Source) -> Result<String, GrammarError> {
    Ok(source.read::<GuideFile>(FILE)?.own_words)
}

/// The names of the joints, for a message.
pub fn joint_names(grammar: &Grammar) -> String {
    let names: Vec<&str> = grammar.joints.iter().map(|joint| joint.name.as_str()).collect();
    names.join(", ")
}

/// The lines of a block, without its heading.
fn said(grammar: &Grammar, part: &Block, joint: Option<&JointFile>, tested: &Tested) -> Vec<String> {
    let mut all = Vec::new();
    let mut words: Vec<String> = part.say.iter().map(|say| say.as_ref().clone()).collect();
    for slot in &part.slots {
        words.extend(values(grammar, slot.as_ref()));
    }
    if let (Some(Own::Tricks), Some(joint)) = (part.own, joint) {
        for trick in joint.movement.iter().flat_map(|movement| &movement.tricks) {
            if !words.contains(trick.as_ref()) {
                words.push(trick.as_ref().clone());
            }
        }
    }
    if let Some(joint) = joint {
        words.extend(tested.of(joint.joint.as_ref(), part.own));
    }
    all.extend(lines(&words));
    if let (Some(Own::Movements), Some(joint)) = (part.own, joint) {
        let ways = joint.movement.iter().map(|movement| {
            let mut ways = movement.said.iter().flat_map(sentences);
            let first = ways.next().unwrap_or_default();
            let other = ways.find(|other| *other != first).unwrap_or_default();
            (first, other)
        });
        all.extend(columns(&ways.collect::<Vec<_>>(), "or "));
    }
    let each = part
        .each
        .iter()
        .map(|each| (each.say.as_ref().clone(), each.does.clone()));
    all.extend(columns(&each.collect::<Vec<_>>(), ""));
    all
}

/// Two columns; the second may be empty.
fn columns(rows: &[(String, String)], between: &str) -> Vec<String> {
    let width = rows.iter().map(|(first, _)| first.len()).max().unwrap_or(0) + GAP.len();
    let row = |(first, second): &(String, String)| match second.as_str() {
        "" => first.clone(),
        second => format!("{first:width$}{between}{second}"),
    };
    rows.iter().map(row).collect()
}

/// What is said for each value of a place: its name, or its shortest wording where the name is not said.
fn values(grammar: &Grammar, slot: &str) -> Vec<String> {
    let mut shortest: Vec<Option<String>> = vec![None; grammar.names.len()];
    grammar.automaton.wordings(|steps, ids| {
        let wording = grammar.written(steps);
        for &id in ids {
            let known = &mut shortest[id as usize];
            let is_name = wording == grammar.names[id as usize];
            if is_name || known.as_ref().is_none_or(|known| wording.len() < known.len()) {
                let settled = known.as_ref() == Some(&grammar.names[id as usize]);
                if !settled {
                    *known = Some(wording.clone());
                }
            }
        }
    });
    let mut values = Vec::new();
    for (number, wording) in shortest.into_iter().enumerate() {
        let fragment = grammar.automaton.fragment(number as u32);
        if fragment.fill.slot().name() == slot && !fragment.after {
            values.extend(wording);
        }
    }
    values
}

/// The sentences that a wording stands for, the fullest first.
fn sentences(wording: &Wording) -> Vec<String> {
    let said = expand(wording.as_ref(), "").unwrap_or_default();
    let words = |pieces: Vec<Piece>| {
        let words: Vec<String> = pieces.iter().map(Piece::to_string).collect();
        words.join(" ")
    };
    said.into_iter().map(words).collect()
}

/// A heading with its lines beside it, and an empty line below.
fn block(heading: &str, lines: Vec<String>) -> Vec<String> {
    let mut out = Vec::new();
    for (number, line) in lines.iter().enumerate() {
        let heading = if number == 0 { heading } else { "" };
        out.push(format!("{heading:MARGIN$}{line}").trim_end().to_string());
    }
    out.push(String::new());
    out
}

/// Wordings one after the other, as many on a line as fit beside the heading.
fn lines(wordings: &[String]) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for wording in wordings {
        match lines.last_mut() {
            Some(line) if line.chars().count() + GAP.len() + wording.chars().count() <= WIDTH - MARGIN => {
                line.push_str(GAP);
                line.push_str(wording);
            }
            _ => lines.push(wording.clone()),
        }
    }
    lines
}

fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_string()),
        }
    }
    lines
}

/// A fault for each thing that the guide tells people to say and that is not understood.
pub(super) fn check(source: &Source, grammar: &Grammar) -> Vec<GrammarError> {
    let guide: GuideFile = match source.read(FILE) {
        Ok(guide) => guide,
        Err(fault) => return vec![fault],
    };
    let fault = |at, message, remedy| {
        GrammarError::at(FILE, source.text(FILE), at, message, remedy).found_by(Check::GuideUnderstood)
    };
    let mut faults = Vec::new();
    for block in &guide.block {
        for say in block.say.iter().chain(block.each.iter().map(|each| &each.say)) {
            let read = fills(grammar, say.as_ref());
            if read.is_empty() || read.iter().any(Option::is_none) {
                let message = format!("the guide says `{}`, which is not understood", say.as_ref());
                faults.push(fault(
                    say.span().start,
                    message,
                    "correct it, or add the wording to the grammar",
                ));
            }
        }
        for slot in &block.slots {
            if values(grammar, slot.as_ref()).is_empty() {
                let message = format!("there is nothing to say for `{}`", slot.as_ref());
                faults.push(fault(
                    slot.span().start,
                    message,
                    "`grammars/README.md` lists the slots",
                ));
            }
        }
    }
    faults
}
