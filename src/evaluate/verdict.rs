//! What was meant and what was understood → a verdict.

use std::collections::BTreeSet;

use serde::Serialize;

use super::claim::Claim;
use super::content::{Difference, content, differences, open, same};
use crate::finding::{Control, Finding};

/// How an utterance was understood, the best first. Of several that fit, the worst is the verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum Verdict {
    /// Everything as it was meant: no finding more or less, nothing asked that the truth does not ask; talk left alone.
    #[serde(rename = "exactly right")]
    Right,
    /// Everything that is wrong in a finding is asked about, or what is right is asked about needlessly.
    #[serde(rename = "asked")]
    Asked,
    /// Nothing was proposed; the program asked to say it again.
    #[serde(rename = "refused")]
    Refused,
    /// Nothing was proposed and nothing asked: taken for talk, or not heard at all.
    #[serde(rename = "missed")]
    Missed,
    /// Talk: the program asked to say it again.
    #[serde(rename = "talk asked about")]
    TalkAsked,
    /// What was proposed or done is right, but a part of what was said is left out.
    #[serde(rename = "incomplete")]
    Incomplete,
    /// Something is asked, but not that which is wrong: a blind confirmation records nothing, an answer and a
    /// confirmation do.
    #[serde(rename = "asked about another field")]
    AskedElsewhere,
    /// A control word acted that was not said.
    #[serde(rename = "control word not said")]
    FalseControl,
    /// Talk became a finding, whether it is asked about or not.
    #[serde(rename = "finding from talk")]
    FalseFinding,
    /// A finding without anything asked differs from what was said: confirmed blindly, it is recorded.
    #[serde(rename = "silently wrong")]
    SilentlyWrong,
}

/// A verdict with what it rests on.
#[derive(Clone, Debug, PartialEq)]
pub struct Judgement {
    pub verdict: Verdict,
    /// Findings that were said with those that were taken for them.
    pub pairs: Vec<Pair>,
    /// Findings that were proposed and not said.
    pub extra: Vec<Finding>,
    /// Control words that acted and were not said.
    pub extra_controls: Vec<Control>,
}

/// A finding that was said and what it was taken for.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair {
    pub said: Finding,
    pub heard: Finding,
    /// The fields in which they differ.
    pub differences: Vec<Difference>,
    /// The fields that are asked about: missing or in doubt.
    pub asked: BTreeSet<String>,
}

impl Pair {
    fn new(said: &Finding, heard: &Finding) -> Pair {
        Pair {
            said: said.clone(),
            heard: heard.clone(),
            differences: differences(said, heard),
            asked: open(heard),
        }
    }

    /// The verdict on this finding alone.
    pub fn verdict(&self) -> Verdict {
        if same(&self.said, &self.heard) {
            return Verdict::Right;
        }
        // What was to be asked and was not is as wrong as another value.
        let unasked = open(&self.said);
        let mut wrong = self.differences.iter().map(|one| &one.field).chain(&unasked);
        match wrong.all(|field| self.asked.contains(field)) {
            true => Verdict::Asked,
            false if self.heard.is_settled() => Verdict::SilentlyWrong,
            false => Verdict::AskedElsewhere,
        }
    }
}

/// Judges what was understood against what was meant.
pub fn judge(meant: &Claim, understood: &Claim) -> Judgement {
    let (pairs, lost, extra) = pair_up(&meant.findings, &understood.findings);
    let extra_controls = beyond(&understood.controls, &meant.controls);
    let lost_controls = beyond(&meant.controls, &understood.controls);
    let talk = meant.is_nothing();
    let mut verdicts: Vec<Verdict> = pairs.iter().map(Pair::verdict).collect();
    verdicts.extend(extra.iter().map(|finding| match finding.is_settled() {
        _ if talk => Verdict::FalseFinding,
        true => Verdict::SilentlyWrong,
        false => Verdict::AskedElsewhere,
    }));
    verdicts.extend(extra_controls.iter().map(|_| Verdict::FalseControl));
    let nothing_came = understood.findings.is_empty() && understood.controls.is_empty();
    let lacking = lost > 0 || !lost_controls.is_empty();
    verdicts.push(match (nothing_came, understood.unclear) {
        (true, true) if talk => Verdict::TalkAsked,
        (true, true) if lacking => Verdict::Refused,
        (true, false) if lacking || meant.unclear => Verdict::Missed,
        (false, _) if lacking => Verdict::Incomplete,
        (false, true) => Verdict::Asked,
        _ => Verdict::Right,
    });
    Judgement {
        verdict: verdicts.into_iter().max().unwrap_or(Verdict::Right),
        pairs,
        extra,
        extra_controls,
    }
}

/// Pairs findings: equal ones first, then those that differ in the fewest fields, the earliest of equals. Returns the
/// pairs in the order said, how many that were said have no partner, and those heard that have none.
fn pair_up(said: &[Finding], heard: &[Finding]) -> (Vec<Pair>, usize, Vec<Finding>) {
    let mut distances = Vec::new();
    for (at, one) in said.iter().enumerate() {
        for (to, other) in heard.iter().enumerate() {
            let differs = !same(one, other);
            let stated = content(one).len().max(content(other).len());
            let differing = differences(one, other).len();
            // Findings that have nothing in common are not one taken for the other.
            if differing < stated {
                distances.push((differs, differing, at.abs_diff(to), at, to));
            }
        }
    }
    distances.sort_unstable();
    let (mut taken, mut used) = (vec![None; said.len()], vec![false; heard.len()]);
    for (.., at, to) in distances {
        if taken[at].is_none() && !used[to] {
            (taken[at], used[to]) = (Some(to), true);
        }
    }
    let pairs: Vec<Pair> = taken
        .iter()
        .zip(said)
        .filter_map(|(to, said)| to.map(|to| Pair::new(said, &heard[to])))
        .collect();
    let lost = said.len() - pairs.len();
    let extra = heard.iter().zip(used).filter(|(_, used)| !used);
    (pairs, lost, extra.map(|(finding, _)| finding.clone()).collect())
}

/// What is in `these` more often than in `those`.
fn beyond(these: &[Control], those: &[Control]) -> Vec<Control> {
    let mut left = those.to_vec();
    let mut more = these.to_vec();
    more.retain(|control| match left.iter().position(|other| other == control) {
        Some(at) => {
            left.remove(at);
            false
        }
        None => true,
    });
    more
}
