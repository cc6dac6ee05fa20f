//! How far the passive ranges of a side fall short of the other side's, set against the pattern of the joint.

use super::Hint;
use crate::finding::{Finding, Mode, Side, word_of};
use crate::grammar::Grammar;
use crate::grammar::facts::Pattern;

/// Of each joint and side that falls short in any of the pattern's movements, if two of them or more were measured on both sides.
pub fn patterns(grammar: &Grammar, findings: &[&Finding]) -> Vec<Hint> {
    let mut hints = Vec::new();
    for pattern in &grammar.facts.hints.pattern {
        for side in [Side::Left, Side::Right] {
            hints.extend(of_side(pattern, side, findings));
        }
    }
    hints
}

fn of_side(pattern: &Pattern, side: Side, findings: &[&Finding]) -> Option<Hint> {
    let measured = |movement: &str, side: Side| {
        let of = |finding: &&&Finding| {
            finding.joint.as_ref() == Some(&pattern.joint)
                && finding.movement.as_deref() == Some(movement)
                && finding.mode == Some(Mode::Passive)
                && finding.side == Some(side)
        };
        Some(findings.iter().rfind(of)?.degrees.as_ref()?.to)
    };
    // Where in the order each stands, and how far it falls short.
    let mut short: Vec<(usize, &str, i32)> = Vec::new();
    for (place, together) in pattern.order.iter().enumerate() {
        for movement in together {
            let here = measured(movement, side);
            let there = side.opposite().and_then(|other| measured(movement, other));
            short.extend(
                here.zip(there)
                    .map(|(here, there)| (place, movement.as_str(), there - here)),
            );
        }
    }
    if short.len() < 2 || !short.iter().any(|(.., less)| *less > 0) {
        return None;
    }
    let pairs = short
        .iter()
        .enumerate()
        .flat_map(|(at, one)| short[at + 1..].iter().map(move |two| (one, two)));
    let ordered: Vec<bool> = pairs
        .filter(|(one, two)| one.0 != two.0)
        .map(|(one, two)| one.2 > two.2)
        .collect();
    let fits = ordered.iter().filter(|fits| **fits).count();
    let other = side.opposite().map(word_of).unwrap_or_default();
    let seen: Vec<String> = short
        .iter()
        .map(|(_, movement, less)| match less {
            0 => format!("{movement} the same"),
            1.. => format!("{movement} {less}° less"),
            _ => format!("{movement} {}° more", -less),
        })
        .collect();
    let order: Vec<String> = pattern
        .order
        .iter()
        .map(|together| together.join(" and "))
        .collect();
    let score = match ordered.is_empty() {
        true => String::new(),
        false => format!(" {fits} of {} pairs stand in that order.", ordered.len()),
    };
    Some(Hint::new(
        &format!(
            "{} {}, passive, against the {other}: {}.",
            word_of(side),
            pattern.joint,
            seen.join(", ")
        ),
        &format!(
            "Textbooks list as the pattern of the whole joint, most limited first: {}.{score}",
            order.join(", then ")
        ),
        &pattern.source,
        &pattern.status,
    ))
}
