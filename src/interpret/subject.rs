//! What a finding is about, named: the joint's movement, a muscle, a test, a structure or a part measured around.

use crate::finding::{Doubt, Finding, Kind};
use crate::grammar::fragment::Fill;
use crate::grammar::{Grammar, Joint};

use super::every_fill;

/// Names of the fields in doubt, as the published JSON spells them.
const MUSCLE: &str = "muscle";
const TEST: &str = "test";

/// Makes the finding one of another kind; what it was about before is forgotten.
fn about(finding: &mut Finding, kind: Kind) {
    if finding.kind != kind {
        finding.kind = kind;
        finding.muscle = None;
        finding.test = None;
        finding.structure = None;
        finding.movement = None;
    }
    finding
        .doubts
        .retain(|doubt| ![MUSCLE, TEST].contains(&doubt.field.as_str()));
}

/// Which muscle or test it is, where that is not settled.
pub fn in_doubt(finding: &Finding) -> Vec<Doubt> {
    let of_subject = |doubt: &&Doubt| [MUSCLE, TEST].contains(&doubt.field.as_str());
    finding.doubts.iter().filter(of_subject).cloned().collect()
}

/// Names the joint, and the movement that the same wording names there.
pub fn name_joint(grammar: &Grammar, finding: &mut Finding, joint: usize) {
    finding.joint = Some(grammar.joints[joint].name.clone());
    refit_movement(grammar, finding);
}

/// A level names the limb that it is of: the second toe's P I P joint is one of the toes, however its name is shared.
pub fn fit_joint_to_level(grammar: &Grammar, finding: &mut Finding) {
    let (Some(joint), Some(level)) = (&finding.joint, &finding.level) else {
        return;
    };
    let last = |name: &str| name.rsplit(' ').next().unwrap_or_default().to_string();
    let limb = last(level);
    let limb = limb.strip_suffix('s').unwrap_or(&limb);
    if finding.kind != Kind::Movement || joint.contains(limb) {
        return;
    }
    let of_limb = |other: &&Joint| other.name.contains(limb) && last(&other.name) == last(joint);
    if let Some(other) = grammar.joints.iter().find(of_limb) {
        finding.joint = Some(other.name.clone());
        refit_movement(grammar, finding);
    }
}

/// After the joint has changed: the movement that the same wording names there, "internal rotation" for one.
fn refit_movement(grammar: &Grammar, finding: &mut Finding) {
    let (Some(joint), Some(name)) = (&finding.joint, &finding.movement) else {
        return;
    };
    if grammar.movement(joint, name).is_some() {
        return;
    }
    let words: Vec<_> = name
        .split_whitespace()
        .map(|word| grammar.lexicon.number(word))
        .collect();
    let named = grammar
        .automaton
        .matches(&words, 0)
        .into_iter()
        .filter(|found| found.end == words.len());
    let here = named
        .filter_map(|found| match &grammar.automaton.fragment(found.fragment).fill {
            Fill::Movement(candidates) => Some(candidates),
            _ => None,
        })
        .flatten()
        .find(|(other, _)| grammar.joints[*other].name == *joint);
    if let Some(&(joint, movement)) = here {
        finding.movement = Some(grammar.joints[joint].movements[movement].name.clone());
    }
}

/// Names the movement that fits the joint. Without a joint, a wording that only one joint has brings its joint along.
pub fn name_movement(
    grammar: &Grammar,
    finding: &mut Finding,
    candidates: &[(usize, usize)],
) -> Result<(), String> {
    about(finding, Kind::Movement);
    let name = |&(joint, movement): &(usize, usize)| grammar.joints[joint].movements[movement].name.clone();
    let here = finding.joint.as_deref();
    let fitting = candidates
        .iter()
        .find(|(joint, _)| Some(grammar.joints[*joint].name.as_str()) == here);
    match (fitting, candidates) {
        (Some(candidate), _) => finding.movement = Some(name(candidate)),
        (None, several) if here.is_some() => {
            let (joint, movement) = neighbour(grammar, here.unwrap_or_default(), several)
                .ok_or("this joint does not make that movement")?;
            finding.joint = Some(grammar.joints[joint].name.clone());
            finding.movement = Some(name(&(joint, movement)));
        }
        (None, [only]) => {
            finding.joint = Some(grammar.joints[only.0].name.clone());
            finding.movement = Some(name(only));
        }
        // The joint will settle which of them it is.
        (None, several) => finding.movement = several.first().map(name),
    }
    Ok(())
}

/// The movement that is named with this joint, but belongs to the one beside it: the grammar has a wording for the two
/// together.
fn neighbour(grammar: &Grammar, joint: &str, candidates: &[(usize, usize)]) -> Option<(usize, usize)> {
    candidates.iter().copied().find(|&(other, movement)| {
        let together = format!("{joint} {}", grammar.joints[other].movements[movement].name);
        every_fill(grammar, &together) == [Fill::Movement(vec![(other, movement)])]
    })
}

/// Names the muscle that fits the joint; where several do, which of them is in doubt.
pub fn name_muscle(
    grammar: &Grammar,
    finding: &mut Finding,
    candidates: &[usize],
    level: Option<&String>,
    at: Option<&str>,
) -> Result<(), String> {
    about(finding, Kind::Muscle);
    finding.level = level.cloned();
    let fits = |muscle: usize, joint: &str| grammar.muscles[muscle].joint == joint;
    let (said, or) = pick(candidates, finding.joint.as_deref(), at, fits)
        .ok_or("that muscle is not tested at this joint")?;
    let name = |muscle: usize| grammar.muscles[muscle].name.clone();
    finding.muscle = Some(name(said));
    doubt(finding, MUSCLE, name(said), or.into_iter().map(name).collect());
    Ok(())
}

/// Names the test that fits the joint; where several do, which of them is in doubt.
pub fn name_test(
    grammar: &Grammar,
    finding: &mut Finding,
    candidates: &[usize],
    at: Option<&str>,
) -> Result<(), String> {
    about(finding, Kind::Test);
    let fits = |test: usize, joint: &str| grammar.tests[test].joints.iter().any(|of| of == joint);
    let (said, or) =
        pick(candidates, finding.joint.as_deref(), at, fits).ok_or("that test is not one of this joint")?;
    let name = |test: usize| grammar.tests[test].name.clone();
    finding.test = Some(name(said));
    doubt(finding, TEST, name(said), or.into_iter().map(name).collect());
    Ok(())
}

/// Names a structure that is felt.
pub fn name_structure(finding: &mut Finding, structure: &str) {
    about(finding, Kind::Palpation);
    finding.structure = Some(structure.into());
}

/// Names the part that is measured around.
pub fn name_girth(finding: &mut Finding, part: &str) {
    about(finding, Kind::Girth);
    finding.level = Some(part.into());
}

/// The candidate that is meant and the others that it may be as well. A joint that was said decides, and must fit; one
/// that was said before decides if it fits.
fn pick(
    candidates: &[usize],
    said: Option<&str>,
    before: Option<&str>,
    fits: impl Fn(usize, &str) -> bool,
) -> Option<(usize, Vec<usize>)> {
    let at = |joint: &str| -> Vec<usize> {
        candidates
            .iter()
            .copied()
            .filter(|&one| fits(one, joint))
            .collect()
    };
    let left = match (said, before) {
        (Some(joint), _) => at(joint),
        (None, Some(joint)) if !at(joint).is_empty() => at(joint),
        _ => candidates.to_vec(),
    };
    let (first, rest) = left.split_first()?;
    Some((*first, rest.to_vec()))
}

fn doubt(finding: &mut Finding, field: &str, said: String, or: Vec<String>) {
    if !or.is_empty() {
        finding.doubts.push(Doubt {
            field: field.into(),
            said,
            or,
        });
    }
}

/// The joint has been said: of the muscles or tests in doubt, the one that belongs to it is meant.
pub fn settle_by_joint(grammar: &Grammar, finding: &mut Finding) {
    let Some(joint) = finding.joint.clone() else {
        return;
    };
    let doubts = std::mem::take(&mut finding.doubts);
    for doubt in doubts {
        let names = || std::iter::once(&doubt.said).chain(&doubt.or);
        let of_muscle = |name: &&String| grammar.muscle(name).is_some_and(|muscle| muscle.joint == joint);
        let of_test = |name: &&String| {
            grammar
                .test(name)
                .is_some_and(|test| test.joints.contains(&joint))
        };
        let settled = match doubt.field.as_str() {
            MUSCLE => names()
                .find(of_muscle)
                .map(|name| finding.muscle = Some(name.clone())),
            TEST => names()
                .find(of_test)
                .map(|name| finding.test = Some(name.clone())),
            _ => None,
        };
        if settled.is_none() {
            finding.doubts.push(doubt);
        }
    }
}
