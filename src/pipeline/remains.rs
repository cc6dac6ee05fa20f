//! What has not been examined yet of a movement.

use crate::finding::{Finding, Kind, Mode, Side};
use crate::grammar::Grammar;
use crate::readback::clause;

/// Sides and modes in which the movement that `last` is about has none of the findings `known` (recorded in this visit, or
/// waiting), in words.
pub(super) fn remains<'a>(
    grammar: &Grammar,
    last: &Finding,
    known: impl Iterator<Item = &'a Finding>,
) -> Vec<String> {
    let same =
        |f: &&Finding| f.kind == Kind::Movement && f.joint == last.joint && f.movement == last.movement;
    let done: Vec<&Finding> = known.filter(same).collect();
    let joint = last.joint.as_deref().and_then(|name| grammar.joint(name));
    let sides = match joint.is_some_and(|joint| joint.sided) {
        true => vec![Some(Side::Left), Some(Side::Right)],
        false => vec![None],
    };
    let mut remains = Vec::new();
    for side in sides {
        for mode in [Mode::Active, Mode::Passive, Mode::Resisted] {
            let here = |f: &&Finding| f.side == side || f.side == Some(Side::Both);
            if !done.iter().any(|f| here(f) && f.mode == Some(mode)) {
                let mut named = Finding::new(Kind::Movement);
                (named.side, named.mode) = (side, Some(mode));
                remains.push(clause(grammar, &named).replace(", ", " "));
            }
        }
    }
    remains
}
