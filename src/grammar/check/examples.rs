//! Examples and counter-examples: what must be read from a sentence, and what must be left alone.

use std::collections::BTreeSet;
use std::sync::Arc;

use serde::Deserialize;
use serde_json::Value;

use crate::finding::{Control, Finding, Outcome};
use crate::interpret::{Interpreter, every_fill};

use super::super::error::GrammarError;
use super::super::file::Text;
use super::super::fragment::Fill;
use super::super::{Grammar, Source};
use super::{Check, place};

/// The files: this one, and every one in the folder beside it.
const FILE: &str = "examples.toml";
const FOLDER: &str = "examples";

/// The shape of one of them.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ExampleFile {
    #[serde(default)]
    example: Vec<Example>,
    /// What must not become a finding or a control word.
    #[serde(default)]
    counter_examples: Vec<Text>,
    /// Wordings that are meant to have a meaning in two places.
    #[serde(default)]
    overlap: Vec<Meant>,
    /// Words of talk that are meant to be a wording too.
    #[serde(default)]
    talk: Vec<Meant>,
}

/// A sentence and what it means.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Example {
    say: Text,
    /// What was said before it, if it leans on that.
    #[serde(default)]
    after: Option<String>,
    /// A finding, a list of findings, or `{ control = "…" }`.
    means: Value,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Meant {
    say: Text,
    /// Why; for people.
    #[serde(rename = "why")]
    _why: String,
}

/// An exception that the files list.
pub(super) struct Allowed {
    pub say: Text,
    pub file: String,
}

impl Allowed {
    /// It is about this sentence: the same words, or, with `…` at its end, the same beginning.
    pub fn covers(&self, sentence: &str) -> bool {
        match self.say.as_ref().strip_suffix('…') {
            Some(start) => sentence.starts_with(start),
            None => sentence == self.say.as_ref(),
        }
    }
}

/// All of them together.
pub(super) struct ExampleFiles {
    files: Vec<(String, ExampleFile)>,
    pub overlaps: Vec<Allowed>,
    pub talk: Vec<Allowed>,
}

impl ExampleFiles {
    pub fn read(source: &Source) -> Result<ExampleFiles, GrammarError> {
        let names = std::iter::once(FILE.to_string()).chain(source.under(FOLDER));
        let mut files = Vec::new();
        let (mut overlaps, mut talk) = (Vec::new(), Vec::new());
        for name in names {
            let mut file: ExampleFile = source.read(&name)?;
            let allowed = |meant: Meant| Allowed {
                say: meant.say,
                file: name.clone(),
            };
            overlaps.extend(std::mem::take(&mut file.overlap).into_iter().map(allowed));
            talk.extend(std::mem::take(&mut file.talk).into_iter().map(allowed));
            files.push((name.clone(), file));
        }
        Ok(ExampleFiles {
            files,
            overlaps,
            talk,
        })
    }
}

/// An example that was read as it should be.
pub(super) struct Read {
    pub file: String,
    pub at: usize,
    pub findings: Vec<Finding>,
    pub control: Option<Control>,
    /// What its words stand for.
    pub fills: Vec<Fill>,
}

/// Reads every example by itself and adds a fault for each that does not mean what it should.
pub(super) fn read_each(
    source: &Source,
    grammar: &Arc<Grammar>,
    files: &ExampleFiles,
    faults: &mut Vec<GrammarError>,
) -> Vec<Read> {
    let mut read = Vec::new();
    for (file, examples) in &files.files {
        for example in &examples.example {
            let say = example.say.as_ref();
            let mut interpreter = Interpreter::new(grammar.clone());
            if let Some(before) = &example.after {
                interpreter.read(before);
            }
            let reading = interpreter.peek(say);
            let (findings, control) = match &reading.outcome {
                Outcome::Finding { findings } => (findings.clone(), None),
                Outcome::Control { control, findings } => (findings.clone(), Some(*control)),
                Outcome::Aside | Outcome::Unclear { .. } => (Vec::new(), None),
            };
            if meant(&reading.outcome) != example.means {
                let message = format!("`{say}` is read as {}", told(&reading.outcome));
                let remedy = format!("it should be {}", example.means);
                let at = example.say.span().start;
                let fault = GrammarError::at(file, source.text(file), at, message, remedy);
                faults.push(fault.found_by(Check::ExamplesRead));
            } else {
                read.push(Read {
                    file: file.clone(),
                    at: example.say.span().start,
                    findings,
                    control,
                    fills: every_fill(grammar, say),
                });
            }
        }
    }
    read
}

/// An outcome as `means` writes it; null if nothing was taken from it.
fn meant(outcome: &Outcome) -> Value {
    let json = |value| serde_json::to_value(value).unwrap_or_default();
    match outcome {
        Outcome::Finding { findings } => match &findings[..] {
            [only] => json(only),
            all => Value::Array(all.iter().map(json).collect()),
        },
        Outcome::Control { control, .. } => serde_json::json!({ "control": control }),
        Outcome::Aside | Outcome::Unclear { .. } => Value::Null,
    }
}

fn told(outcome: &Outcome) -> String {
    match outcome {
        Outcome::Aside => "talk".into(),
        Outcome::Unclear { why } => format!("unclear: {why}"),
        other => meant(other).to_string(),
    }
}

/// Adds a fault for each value that no example uses.
pub(super) fn values(source: &Source, grammar: &Grammar, read: &[Read], faults: &mut Vec<GrammarError>) {
    let findings = || read.iter().flat_map(|example| &example.findings);
    for joint in &grammar.joints {
        for movement in &joint.movements {
            let used = findings().any(|finding| {
                finding.joint.as_ref() == Some(&joint.name)
                    && finding.movement.as_ref() == Some(&movement.name)
            });
            if !used {
                let named = format!("{} {}", joint.name, movement.name);
                faults.push(without(source, "movement", &movement.name, &named));
            }
        }
    }
    let named = |field: fn(&Finding) -> Option<&String>, name: &String| {
        findings().any(|finding| field(finding) == Some(name))
    };
    for muscle in &grammar.muscles {
        if !named(|finding| finding.muscle.as_ref(), &muscle.name) {
            faults.push(without(source, "muscle", &muscle.name, &muscle.name));
        }
    }
    for test in &grammar.tests {
        if !named(|finding| finding.test.as_ref(), &test.name) {
            faults.push(without(source, "test", &test.name, &test.name));
        }
    }
    let mut told = BTreeSet::new();
    for (number, name) in grammar.names.iter().enumerate() {
        let fill = &grammar.automaton.fragment(number as u32).fill;
        let used = match fill {
            // What has a name is looked for above.
            Fill::Movement(_) | Fill::Muscle { .. } | Fill::Test(_) | Fill::Filler { .. } | Fill::Ask(_) => {
                true
            }
            Fill::Control { control, .. } => read.iter().any(|example| example.control == Some(*control)),
            fill => read.iter().any(|example| example.fills.contains(fill)),
        };
        let slot = fill.slot().name();
        if !used && told.insert((slot, name)) {
            faults.push(without(source, slot, name, name));
        }
    }
}

fn without(source: &Source, slot: &str, name: &str, named: &str) -> GrammarError {
    let key = if slot == "joint" { "joint" } else { "is" };
    let entry = |key: &str| {
        let mut files = source.names().filter(|file| !file.starts_with(FOLDER));
        files.find_map(|file| {
            let texts = place::texts(source.text(file));
            let found = texts.iter().find(|(k, text, _)| k == key && text == name);
            found.map(|(.., at)| (file.to_string(), *at))
        })
    };
    let message = format!("the {slot} `{named}` has no example");
    let remedy = "add one to examples.toml: what is said, and what it means";
    match entry(key).or_else(|| entry("slot")) {
        Some((file, at)) => GrammarError::at(source.shown(&file), source.text(&file), at, message, remedy)
            .found_by(Check::EveryValueHasAnExample),
        None => place::fault(source, Check::EveryValueHasAnExample, name, message, remedy),
    }
}

/// Adds a fault for each counter-example that something is made of.
pub(super) fn counter_examples(
    source: &Source,
    grammar: &Arc<Grammar>,
    files: &ExampleFiles,
    faults: &mut Vec<GrammarError>,
) {
    for (file, examples) in &files.files {
        for said in &examples.counter_examples {
            let reading = Interpreter::new(grammar.clone()).peek(said.as_ref());
            if matches!(reading.outcome, Outcome::Aside | Outcome::Unclear { .. }) {
                continue;
            }
            let message = format!(
                "`{}` must be left alone, but is read as {}",
                said.as_ref(),
                told(&reading.outcome)
            );
            let remedy = "make the wordings narrower, or list the talk in talk.toml";
            let fault = GrammarError::at(file, source.text(file), said.span().start, message, remedy);
            faults.push(fault.found_by(Check::CounterExamplesLeftAlone));
        }
    }
}
