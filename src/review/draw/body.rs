//! The outline of a body, with a mark wherever something was found.

use std::sync::LazyLock;

use askama::Template;
use serde::Deserialize;

use crate::finding::{Finding, Side, word_of};
use crate::grammar::Grammar;

/// The middle of each figure, in units of the picture.
const FRONT: f64 = 110.0;
const BACK: f64 = 336.0;
/// The figure that turns its left side to whoever looks, and the other.
const PROFILES: [(Side, f64); 2] = [(Side::Left, 550.0), (Side::Right, 770.0)];

static PARTS: LazyLock<Vec<Part>> = LazyLock::new(|| {
    let file: File = toml::from_str(include_str!("body.toml")).expect("a test reads it");
    file.part
});

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    part: Vec<Part>,
}

/// A part of the body, as joints of the vocabulary.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Part {
    pub name: String,
    joints: Vec<String>,
    #[serde(default)]
    sided: bool,
    places: Vec<Place>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Place {
    view: View,
    x: f64,
    y: f64,
}

#[derive(Clone, Copy, PartialEq, Deserialize)]
#[serde(rename_all = "lowercase")]
enum View {
    Front,
    Back,
    Profile,
}

/// A part of one side; what is shown may be limited to it.
#[derive(Clone, Copy)]
pub struct Of {
    part: &'static Part,
    side: Option<Side>,
}

impl Of {
    /// By the words of an address.
    pub fn named(part: &str, side: &str) -> Option<Of> {
        let part = PARTS.iter().find(|one| one.name == part)?;
        let side = [Side::Left, Side::Right]
            .into_iter()
            .find(|one| word_of(one) == side);
        (part.sided == side.is_some()).then_some(Of { part, side })
    }

    /// "left hip".
    pub fn in_words(self) -> String {
        let side = self.side.map(|side| word_of(side) + " ").unwrap_or_default();
        side + &self.part.name
    }

    /// Whether a finding is of this part and side.
    pub fn holds(self, grammar: &Grammar, finding: &Finding) -> bool {
        let here = joints(grammar, finding)
            .into_iter()
            .any(|joint| self.part.joints.iter().any(|one| one == joint));
        here && (self.side.is_none() || finding.side == self.side || finding.side == Some(Side::Both))
    }
}

/// Where something was found: the joint that was said, or those that a muscle or a test is of.
fn joints<'a>(grammar: &'a Grammar, finding: &'a Finding) -> Vec<&'a str> {
    if let Some(joint) = &finding.joint {
        return vec![joint];
    }
    let muscle = finding.muscle.as_deref().and_then(|name| grammar.muscle(name));
    let test = finding.test.as_deref().and_then(|name| grammar.test(name));
    let of_test = test.into_iter().flat_map(|test| &test.joints);
    muscle
        .map(|muscle| &muscle.joint)
        .into_iter()
        .chain(of_test)
        .map(String::as_str)
        .collect()
}

#[derive(Template)]
#[template(path = "body.svg")]
struct Body {
    marks: Vec<Mark>,
}

struct Mark {
    x: f64,
    y: f64,
    address: String,
    title: String,
    count: usize,
}

/// The picture; nothing if no finding is of any part. `address` is where a part of a side is shown alone.
pub fn body<'a>(
    grammar: &Grammar,
    address: impl Fn(&str, &str) -> String,
    findings: impl Iterator<Item = &'a Finding> + Clone,
) -> Option<String> {
    let mut marks = Vec::new();
    for part in PARTS.iter() {
        let sides: &[Option<Side>] = match part.sided {
            true => &[Some(Side::Left), Some(Side::Right)],
            false => &[None],
        };
        for side in sides {
            let of = Of { part, side: *side };
            let count = findings
                .clone()
                .filter(|finding| of.holds(grammar, finding))
                .count();
            if count == 0 {
                continue;
            }
            let found = if count == 1 {
                "one finding".to_owned()
            } else {
                format!("{count} findings")
            };
            for place in &part.places {
                if let Some(x) = place.seen(*side) {
                    marks.push(Mark {
                        x,
                        y: place.y,
                        address: address(&part.name, &side.map(word_of).unwrap_or_default()),
                        title: format!("{}: {found}", of.in_words()),
                        count,
                    });
                }
            }
        }
    }
    (!marks.is_empty())
        .then(|| Body { marks }.render().ok())
        .flatten()
}

impl Place {
    /// Where it is seen of one side: from the front the left is on the right.
    fn seen(&self, side: Option<Side>) -> Option<f64> {
        let right = side == Some(Side::Right);
        match self.view {
            View::Front => Some(if right { FRONT - self.x } else { FRONT + self.x }),
            View::Back => Some(if right { BACK + self.x } else { BACK - self.x }),
            View::Profile => {
                let (_, middle) = PROFILES.into_iter().find(|(one, _)| Some(*one) == side)?;
                Some(if right { middle - self.x } else { middle + self.x })
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_joint_of_the_vocabulary_has_its_place() {
        let grammar = Grammar::carried().unwrap();
        for joint in &grammar.joints {
            let parts = PARTS.iter().filter(|part| part.joints.contains(&joint.name));
            assert_eq!(parts.count(), 1, "{}", joint.name);
        }
        for part in PARTS.iter() {
            for joint in &part.joints {
                let joint = grammar
                    .joint(joint)
                    .unwrap_or_else(|| panic!("there is no joint {joint}"));
                assert!(part.sided || !joint.sided, "{}", joint.name);
            }
        }
    }
}
