//! What has not been examined yet of a joint.

use crate::finding::{Finding, Kind, Mode, Side};
use crate::grammar::{Grammar, Joint, Movement};
use crate::readback::clause;

const MODES: [Mode; 3] = [Mode::Active, Mode::Passive, Mode::Resisted];

/// Sides and modes in which the joint that `last` is about has none of the findings `known` (recorded in this visit, or
/// waiting), in words: first those of its movement, then those of other movements that were begun, and last the movements that
/// were not.
pub fn remains<'a>(
    grammar: &Grammar,
    last: &Finding,
    known: impl Iterator<Item = &'a Finding>,
) -> Vec<String> {
    let Some(joint) = last.joint.as_deref().and_then(|name| grammar.joint(name)) else {
        return Vec::new();
    };
    let here = |f: &&Finding| f.kind == Kind::Movement && f.joint == last.joint;
    let known: Vec<&Finding> = known.filter(here).collect();
    let is_last = |movement: &&Movement| last.movement.as_ref() == Some(&movement.name);
    let (this, others): (Vec<_>, Vec<_>) = joint.movements.iter().partition(is_last);
    let mut remains = Vec::new();
    for movement in this {
        remains.extend(
            missing(grammar, joint, movement, &known)
                .iter()
                .map(|f| words(grammar, f)),
        );
    }
    let mut not_begun = Vec::new();
    for movement in others {
        if known.iter().any(|f| f.movement.as_ref() == Some(&movement.name)) {
            for mut missing in missing(grammar, joint, movement, &known) {
                missing.movement = Some(movement.name.clone());
                remains.push(words(grammar, &missing));
            }
        } else {
            not_begun.push(movement.name.clone());
        }
    }
    if !not_begun.is_empty() {
        remains.push(
            grammar
                .readback
                .answer
                .not_begun
                .replace("{}", &not_begun.join(", ")),
        );
    }
    remains
}

/// Sides and modes of a movement in which nothing is known of it.
fn missing(grammar: &Grammar, joint: &Joint, movement: &Movement, known: &[&Finding]) -> Vec<Finding> {
    let sided = grammar
        .movement(&joint.name, &movement.name)
        .is_some_and(|movement| movement.sided);
    let sides: &[Option<Side>] = match sided {
        true => &[Some(Side::Left), Some(Side::Right)],
        false => &[None],
    };
    let mut missing = Vec::new();
    for side in sides {
        for mode in MODES {
            let is_it = |f: &Finding| {
                f.movement.as_ref() == Some(&movement.name)
                    && (f.side == *side || f.side == Some(Side::Both))
                    && f.mode == Some(mode)
            };
            if !known.iter().any(|f| is_it(f)) {
                let mut named = Finding::new(Kind::Movement);
                (named.side, named.mode) = (*side, Some(mode));
                missing.push(named);
            }
        }
    }
    missing
}

fn words(grammar: &Grammar, finding: &Finding) -> String {
    clause(grammar, finding).replace(", ", " ")
}
