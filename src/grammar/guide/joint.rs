//! What a joint has of its own, as it is said.

use super::super::Source;
use super::super::error::GrammarError;
use super::super::file::{JointFile, MuscleEntry, MuscleFile, TestEntry, TestFile, Wording};
use super::names::{another, shown};
use super::values::sentences;

/// A joint with its muscles and tests.
pub(super) struct Joint {
    pub file: JointFile,
    muscles: Vec<MuscleEntry>,
    tests: Vec<TestEntry>,
}

/// Something at a joint that can be named, and whether there is one to the left and one to the right.
struct Named {
    said: String,
    sided: bool,
}

impl Joint {
    /// Every joint, in the order of the files.
    pub fn all(source: &Source) -> Result<Vec<Joint>, GrammarError> {
        let mut joints = Vec::new();
        for file in source.under("joints") {
            joints.push(Joint {
                file: source.read(&file)?,
                muscles: Vec::new(),
                tests: Vec::new(),
            });
        }
        Ok(joints)
    }

    /// The joint with its muscles and tests.
    pub fn whole(self, source: &Source) -> Result<Joint, GrammarError> {
        let name = self.file.joint.as_ref();
        let (mut muscles, mut tests) = (Vec::new(), Vec::new());
        for file in source.under("muscles") {
            let of_file = source.read::<MuscleFile>(&file)?.muscle;
            muscles.extend(of_file.into_iter().filter(|muscle| muscle.joint == *name));
        }
        for file in source.under("tests") {
            let of_file = source.read::<TestFile>(&file)?.test;
            tests.extend(of_file.into_iter().filter(|test| test.joints.contains(name)));
        }
        Ok(Joint {
            muscles,
            tests,
            ..self
        })
    }

    pub fn name(&self) -> &str {
        self.file.joint.as_ref()
    }

    /// It is one of the joint's names.
    pub fn is_called(&self, asked: &str) -> bool {
        let mut names = self.file.said.iter().flat_map(all);
        self.name().to_lowercase() == asked || names.any(|name| name == asked)
    }

    /// Each movement and another way to say it, which may be empty.
    pub fn movements(&self) -> Vec<(String, String)> {
        let row = |movement: &super::super::file::MovementEntry| {
            let ways: Vec<String> = movement.said.iter().flat_map(all).collect();
            let first = ways.first().cloned().unwrap_or_default();
            let other = another(&first, &ways).cloned().unwrap_or_default();
            let name = movement.is.as_ref();
            (shown(&first, name), shown(&other, name))
        };
        self.file.movement.iter().map(row).collect()
    }

    pub fn muscles(&self) -> Vec<String> {
        let said = |muscle: &MuscleEntry| Some(shown(&first(&muscle.said)?, muscle.is.as_ref()));
        once(self.muscles.iter().filter_map(said))
    }

    pub fn tests(&self) -> Vec<String> {
        let said = |test: &TestEntry| {
            let said = first(&test.said).or_else(|| first(&test.said_whole))?;
            Some(shown(&said, test.is.as_ref()))
        };
        once(self.tests.iter().filter_map(said))
    }

    /// Words that only its tests have as a result.
    pub fn results(&self) -> Vec<String> {
        let words = self.tests.iter().flat_map(|test| &test.finding_words);
        once(words.filter_map(|words| first(&words.said)))
    }

    /// Trick movements, each once.
    pub fn tricks(&self) -> Vec<String> {
        let tricks = self.file.movement.iter().flat_map(|movement| &movement.tricks);
        once(tricks.map(|trick| trick.as_ref().clone()))
    }

    /// What has a left and a right: everything, or these movements only, or nothing.
    pub fn sides(&self) -> Sides {
        let is_sided = |sided: Option<bool>| sided.unwrap_or(self.file.sided);
        let movements = &self.file.movement;
        let sided: Vec<String> = movements
            .iter()
            .filter(|movement| is_sided(movement.sided))
            .filter_map(|movement| first(&movement.said))
            .collect();
        match sided.len() {
            all if all == movements.len() => Sides::All,
            0 if !self.tests.iter().any(|test| test.sided) => Sides::None,
            _ => Sides::Only(sided),
        }
    }

    /// The frame as it is said of each thing that it is about: `{movement}`, `{muscle}` or `{test}` is that, `{side}` is
    /// left out where there is none.
    pub fn sentences(&self, frame: &str) -> Vec<String> {
        let movements = self.file.movement.iter().map(|movement| Named {
            said: shown(&first(&movement.said).unwrap_or_default(), movement.is.as_ref()),
            sided: movement.sided.unwrap_or(self.file.sided),
        });
        let muscles = self.muscles.iter().filter_map(|muscle| {
            Some(Named {
                said: shown(&first(&muscle.said)?, muscle.is.as_ref()),
                sided: muscle.sided,
            })
        });
        let tests = self.tests.iter().filter_map(|test| {
            let said = first(&test.said).or_else(|| first(&test.said_whole))?;
            Some(Named {
                said: shown(&said, test.is.as_ref()),
                sided: test.sided,
            })
        });
        let joint = shown(&first(&self.file.said).unwrap_or_default(), self.name());
        let with = |place: &str, named: Named| {
            let side = if named.sided { "right " } else { "" };
            frame
                .replace("{side} ", side)
                .replace("{joint}", &joint)
                .replace(place, &named.said)
        };
        if frame.contains("{muscle}") {
            muscles.map(|named| with("{muscle}", named)).collect()
        } else if frame.contains("{test}") {
            tests.map(|named| with("{test}", named)).collect()
        } else {
            movements.map(|named| with("{movement}", named)).collect()
        }
    }
}

/// What has a left and a right at a joint.
pub(super) enum Sides {
    All,
    Only(Vec<String>),
    None,
}

fn all(wording: &Wording) -> Vec<String> {
    sentences(&wording.text)
}

fn first(said: &[Wording]) -> Option<String> {
    said.iter().flat_map(all).next()
}

/// Each once.
fn once(words: impl Iterator<Item = String>) -> Vec<String> {
    let mut once = Vec::new();
    for word in words {
        if !once.contains(&word) {
            once.push(word);
        }
    }
    once
}
