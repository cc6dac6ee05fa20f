//! The files in `joints/` → joints and their movements.

use std::collections::BTreeMap;

use super::super::automaton::Step;
use super::super::check::Check;
use super::super::error::GrammarError;
use super::super::file::{JointFile, Usual};
use super::super::fragment::Fill;
use super::super::weight::Weight;
use super::super::{Joint, Movement};
use super::Loader;

/// Where an utterance stands is kept in little room, with a byte for the joint.
const MOST_JOINTS: usize = 1 << u8::BITS;

/// The movements, as (joint, movement), that words can name, and their weight.
type Named = BTreeMap<Vec<String>, (Vec<(usize, usize)>, Weight)>;

impl Loader<'_> {
    /// Adds every joint with its movements.
    pub(super) fn joints(&mut self) -> Result<(), GrammarError> {
        // One wording may name movements of several joints: it becomes one fragment that lists them all.
        let mut movements = Named::new();
        for file in self.source.under("joints") {
            self.file = file.clone();
            let entry: JointFile = self.source.read(&file)?;
            let joint = self.joints.len();
            if joint == MOST_JOINTS {
                let message = format!("there are more than {MOST_JOINTS} files of joints");
                return Err(self.fault(
                    entry.joint.span().start,
                    message,
                    "take out joints that nobody examines",
                ));
            }
            let fragment = self.add(Fill::Joint(joint), entry.joint.as_ref());
            for said in &entry.said {
                self.wording(said, "", fragment, &said.text, Weight::NONE)?;
            }
            for (number, movement) in entry.movement.iter().enumerate() {
                if movement.reach.as_ref()[0] >= movement.reach.as_ref()[1] {
                    return Err(self
                        .fault(
                            movement.reach.span().start,
                            "the lowest degrees of `reach` must be below the highest",
                            "write the lowest first, as in [-20, 150]",
                        )
                        .found_by(Check::Reach));
                }
                let [lowest, highest] = *movement.reach.as_ref();
                if let Some(usual) = &movement.usual {
                    let Usual { from, to, .. } = usual.as_ref();
                    if from > to || *from < lowest || *to > highest {
                        return Err(self.fault(
                            usual.span().start,
                            "`usual` must go from lower to higher degrees within `reach`",
                            "correct whichever is wrong",
                        ));
                    }
                }
                for trick in &movement.tricks {
                    if !self.signs.contains(trick.as_ref()) {
                        return Err(self
                            .fault(
                                trick.span().start,
                                format!("there is no sign `{}`", trick.as_ref()),
                                "add it to signs.toml, with how it is said",
                            )
                            .found_by(Check::TricksAreSigns));
                    }
                }
                for said in &movement.said {
                    let weight = self.weight(said)?;
                    for words in self.plain_words(&said.text)? {
                        let (candidates, likeliest) = movements.entry(words).or_insert((Vec::new(), weight));
                        *likeliest = weight.max(*likeliest);
                        if let Some(&(_, other)) =
                            candidates.iter().find(|(j, m)| *j == joint && *m != number)
                        {
                            return Err(self
                                .fault(
                                    said.span().start,
                                    format!(
                                        "`{}` already means {} of this joint",
                                        said.as_ref(),
                                        entry.movement[other].is.as_ref()
                                    ),
                                    "one wording may mean one movement of a joint only",
                                )
                                .found_by(Check::OneMeaning));
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
                        sided: m.sided.unwrap_or(entry.sided),
                        landmarks: m.landmarks,
                        usual: m.usual.as_ref().map(|usual| usual.as_ref().clone()),
                    })
                    .collect(),
            });
        }
        for (words, (candidates, weight)) in movements {
            let fragment = self.add(Fill::Movement(candidates), &words.join(" "));
            let steps: Vec<Step> = words
                .iter()
                .map(|word| Step::Word(self.lexicon.add(word)))
                .collect();
            self.automaton.add_wording(&steps, fragment, weight);
        }
        Ok(())
    }
}
