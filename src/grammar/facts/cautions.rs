//! Signs that usually call for stopping or referring. A caution is shown when such a finding is recorded; it blocks nothing and is no finding.

use serde::{Deserialize, Serialize};

use super::Facts;
use crate::finding::{Finding, Kind, Mode, Side};
use crate::grammar::Grammar;
use crate::record::ClientDetails;

pub(super) const FILE: &str = "facts/cautions.toml";

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct File {
    pub caution: Vec<Caution>,
    pub negations: Vec<String>,
}

/// How pressing it is, most first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Urgency {
    Emergency,
    Stop,
    Refer,
    Caution,
}

/// One of them. The serialised form stands in the event that `couchside listen --json` prints.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Caution {
    /// Short words that name it in the history.
    pub id: String,
    pub urgency: Urgency,
    pub title: String,
    /// What was recorded, and what that is usually a sign of.
    pub says: String,
    /// What is usually done.
    pub action: String,
    pub source: String,
    pub status: String,
    #[serde(skip_serializing)]
    when: Vec<Condition>,
}

/// What a finding must say for a caution to be shown: all that is given.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Condition {
    kind: Option<Kind>,
    side: Option<Side>,
    joint: Option<String>,
    movement: Option<String>,
    mode: Option<Mode>,
    muscle: Option<String>,
    test: Option<String>,
    structure: Option<String>,
    result: Option<String>,
    end_feel: Option<String>,
    sign: Option<String>,
    pain: Option<bool>,
    /// Of 0 to 10.
    pain_at_least: Option<u8>,
    range: Option<String>,
    strength: Option<String>,
    degrees_below: Option<i32>,
    /// Degrees beyond these.
    degrees_above: Option<i32>,
    /// Words that all occur in the text of a note.
    #[serde(default)]
    words: Vec<String>,
    /// Words that all occur in the cautions that are written about the client.
    #[serde(default)]
    client_words: Vec<String>,
    client_age: Option<Age>,
}

/// Years, as far as the year of birth tells them.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Age {
    from: Option<i16>,
    below: Option<i16>,
}

impl Condition {
    fn is_met(&self, finding: &Finding, client: &ClientDetails, year: i16, negations: &[String]) -> bool {
        let same = |wanted: &Option<String>, found: &Option<String>| wanted.is_none() || wanted == found;
        let pain = finding.pain.as_ref();
        let degrees = finding.degrees.as_ref().map(|degrees| degrees.to);
        self.kind.is_none_or(|kind| kind == finding.kind)
            && self.side.is_none_or(|side| Some(side) == finding.side)
            && self.mode.is_none_or(|mode| Some(mode) == finding.mode)
            && same(&self.joint, &finding.joint)
            && same(&self.movement, &finding.movement)
            && same(&self.muscle, &finding.muscle)
            && same(&self.test, &finding.test)
            && same(&self.structure, &finding.structure)
            && same(&self.result, &finding.result)
            && same(&self.end_feel, &finding.end_feel)
            && same(&self.range, &finding.range)
            && same(&self.strength, &finding.strength)
            && self.sign.as_ref().is_none_or(|sign| finding.signs.contains(sign))
            && self
                .pain
                .is_none_or(|felt| pain.is_some_and(|pain| pain.felt == felt))
            && self.pain_at_least.is_none_or(|least| {
                pain.and_then(|pain| pain.score)
                    .is_some_and(|score| score >= least)
            })
            && self
                .degrees_below
                .is_none_or(|most| degrees.is_some_and(|degrees| degrees < most))
            && self
                .degrees_above
                .is_none_or(|least| degrees.is_some_and(|degrees| degrees > least))
            && (self.words.is_empty()
                || holds(finding.text.as_deref(), &self.words)
                    && !negations
                        .iter()
                        .any(|word| holds(finding.text.as_deref(), std::slice::from_ref(word))))
            && (self.client_words.is_empty() || holds(client.cautions.as_deref(), &self.client_words))
            && self.client_age.as_ref().is_none_or(|age| {
                client.born.is_some_and(|born| {
                    let years = year - born;
                    age.from.is_none_or(|from| years >= from) && age.below.is_none_or(|below| years < below)
                })
            })
    }
}

/// Whether all of these words occur in a text, whole.
fn holds(text: Option<&str>, words: &[String]) -> bool {
    let text = text.unwrap_or_default().to_lowercase();
    let there: Vec<&str> = text
        .split(|letter: char| !letter.is_alphanumeric() && letter != '\'')
        .collect();
    words.iter().all(|word| there.contains(&word.as_str()))
}

impl Facts {
    /// The cautions that go with a finding, the most pressing first. `year`: the present one, for the client's age.
    pub fn cautions_of(&self, finding: &Finding, client: &ClientDetails, year: i16) -> Vec<&Caution> {
        let is_met = |caution: &&Caution| {
            let mut when = caution.when.iter();
            when.any(|condition| condition.is_met(finding, client, year, &self.negations))
        };
        let mut met: Vec<&Caution> = self.cautions.iter().filter(is_met).collect();
        met.sort_by_key(|caution| caution.urgency);
        met
    }
}

impl Caution {
    /// The names in its conditions that the vocabulary does not have.
    pub(super) fn unknown(&self, grammar: &Grammar) -> Vec<String> {
        let mut unknown = Vec::new();
        for one in &self.when {
            let (joint, movement) = (one.joint.as_deref(), one.movement.as_deref());
            let moved = joint.zip(movement);
            unknown.extend(joint.filter(|name| grammar.joint(name).is_none()));
            unknown.extend(
                moved
                    .filter(|(joint, name)| grammar.movement(joint, name).is_none())
                    .map(|(_, name)| name),
            );
            unknown.extend(
                one.muscle
                    .as_deref()
                    .filter(|name| grammar.muscle(name).is_none()),
            );
            unknown.extend(one.test.as_deref().filter(|name| grammar.test(name).is_none()));
        }
        unknown.into_iter().map(str::to_owned).collect()
    }
}
