//! What can be said, on one page for a joint: big blocks of few words, to be read from the couch.
//!
//! The headings and the general wordings are in `guide.toml`; movements come from the joint's own file.

mod check;
mod file;
mod layout;
mod tested;
mod values;

use super::error::GrammarError;
use super::file::{JointFile, MuscleFile, TestFile, Wording};
use super::{Grammar, Source};
pub(super) use check::check;
use file::{Block, GuideFile, Own};
use layout::{MARGIN, WIDTH, block, columns, lines, wrapped};
use tested::Tested;
use values::{sentences, values};

const FILE: &str = "guide.toml";
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
