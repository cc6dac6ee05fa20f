//! What can be said, on one page for a joint: big blocks of few words, to be read from the couch.
//!
//! The headings and the general wordings are in `guide.toml`; movements, muscles and tests are the joint's own. What is
//! general stands on the page only if it can be said of the joint.

mod check;
mod file;
mod joint;
mod layout;
mod names;
mod values;

use std::sync::Arc;

use crate::finding::Outcome;
use crate::interpret::Interpreter;

use super::error::GrammarError;
use super::{Grammar, Source};
pub(super) use check::check;
use file::{Block, GuideFile, Own};
use joint::{Joint, Sides};
use layout::{MARGIN, WIDTH, block, columns, lines, wrapped};
use names::shown;
use values::values;

const FILE: &str = "guide.toml";

/// The page of the joint that `asked` names, by any of its wordings; without one, what holds for all joints. `None`:
/// there is no such joint.
///
/// # Errors
/// `guide.toml` or a file of joints, muscles or tests can't be read.
pub fn page(
    source: &Source,
    grammar: &Arc<Grammar>,
    asked: Option<&str>,
) -> Result<Option<String>, GrammarError> {
    let guide: GuideFile = source.read(FILE)?;
    let joints = Joint::all(source)?;
    let mut page = Vec::new();
    let mut joint = None;
    if let Some(asked) = asked {
        let asked = grammar.words(asked).join(" ");
        let Some(found) = joints.into_iter().find(|joint| joint.is_called(&asked)) else {
            return Ok(None);
        };
        let found = found.whole(source)?;
        page.push(found.name().to_uppercase());
        page.push("=".repeat(WIDTH));
        page.extend(wrapped(&guide.intro, WIDTH));
        page.push(String::new());
        page.extend(examples(&guide, grammar, &found));
        joint = Some(found);
    } else {
        page.extend(wrapped(&guide.intro, WIDTH));
        page.push(String::new());
        let names: Vec<String> = joints.iter().map(|joint| joint.name().to_string()).collect();
        page.extend(block(&guide.joints, lines(&names)));
    }
    for part in &guide.block {
        let said = match &joint {
            Some(joint) => of_joint(&guide, grammar, part, joint),
            None => in_general(grammar, part),
        };
        if !said.is_empty() {
            page.extend(block(&part.heading, said));
        }
    }
    while page.last().is_some_and(String::is_empty) {
        page.pop();
    }
    Ok(Some(page.join("\n") + "\n"))
}

/// A finding of each kind that the joint has, as it may be said.
fn examples(guide: &GuideFile, grammar: &Arc<Grammar>, joint: &Joint) -> Vec<String> {
    let understood = |frame: &String| {
        let mut sentences = joint.sentences(frame).into_iter();
        sentences.find(|sentence| is_understood(grammar, sentence))
    };
    let said = guide
        .examples
        .iter()
        .filter_map(|frame| understood(frame.as_ref()));
    let mut lines: Vec<String> = said.map(|said| format!("{:MARGIN$}\"{said}\"", "")).collect();
    lines.push(String::new());
    lines
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

/// The general wordings of a block.
fn general(grammar: &Grammar, part: &Block) -> Vec<String> {
    let mut words: Vec<String> = part.say.iter().map(|say| say.as_ref().clone()).collect();
    for slot in &part.slots {
        words.extend(values(grammar, slot.as_ref()));
    }
    words
}

/// The lines of a block without its heading, on the page without a joint.
fn in_general(grammar: &Grammar, part: &Block) -> Vec<String> {
    let mut all = lines(&general(grammar, part));
    all.extend(each(part));
    all
}

/// The lines of a block without its heading: what can be said of this joint.
fn of_joint(guide: &GuideFile, grammar: &Arc<Grammar>, part: &Block, joint: &Joint) -> Vec<String> {
    let sides = joint.sides();
    if part.sided && matches!(sides, Sides::None) {
        return Vec::new();
    }
    let mut words = general(grammar, part);
    if let Some(frame) = &part.tried {
        words.retain(|words| {
            let said = joint.sentences(&frame.as_ref().replace("{}", words));
            said.iter().any(|sentence| is_understood(grammar, sentence))
        });
    }
    let mut all = Vec::new();
    match part.own {
        Some(Own::Movements) => all.extend(columns(&joint.movements(), "or ")),
        Some(Own::Muscles) => words.extend(joint.muscles()),
        Some(Own::Tests) => words.extend(joint.tests()),
        Some(Own::Results) if !joint.tests().is_empty() => words.extend(joint.results()),
        Some(Own::Tricks) => words.extend(joint.tricks()),
        Some(Own::Results) | None => {}
    }
    let words: Vec<String> = words.iter().map(|words| shown(words, "")).collect();
    all.extend(lines(&words));
    if let (true, Sides::Only(movements)) = (part.sided, &sides)
        && !movements.is_empty()
        && !part.slots.is_empty()
    {
        all.extend(wrapped(
            &format!("{} {}", guide.sided_only, movements.join(", ")),
            WIDTH - MARGIN,
        ));
    }
    all.extend(each(part));
    all
}

fn each(part: &Block) -> Vec<String> {
    let row = |each: &file::Each| (each.say.as_ref().clone(), each.does.clone());
    columns(&part.each.iter().map(row).collect::<Vec<_>>(), "")
}

/// It is read as one finding of which nothing is missing or in doubt.
fn is_understood(grammar: &Arc<Grammar>, sentence: &str) -> bool {
    match Interpreter::new(grammar.clone()).peek(sentence).outcome {
        Outcome::Finding { findings } => match &findings[..] {
            [only] => only.is_settled(),
            _ => false,
        },
        _ => false,
    }
}
