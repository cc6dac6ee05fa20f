//! How and with what result something was examined, and on which side.

use super::chance::Chance;
use super::recipe::{Ask, Of, ask};
use crate::finding::{Mode, Side};
use crate::grammar::fragment::{Fill, Slot};

pub(super) const MODES: [(usize, Option<Mode>); 4] = [
    (38, Some(Mode::Active)),
    (27, Some(Mode::Passive)),
    (15, Some(Mode::Resisted)),
    (20, None),
];

pub(super) fn in_mode(mode: Mode) -> Ask {
    let like: fn(&Fill) -> bool = match mode {
        Mode::Active => |fill| *fill == Fill::Mode(Mode::Active),
        Mode::Passive => |fill| *fill == Fill::Mode(Mode::Passive),
        Mode::Resisted => |fill| *fill == Fill::Mode(Mode::Resisted),
    };
    ask(Slot::Mode, Of::Like(like))
}

/// What was found of a movement: how far or how strong, then how it felt.
pub(super) fn results(mode: Option<Mode>, reach: [i32; 2], landmarks: bool, chance: &mut Chance) -> Vec<Ask> {
    let mut results = Vec::new();
    if mode == Some(Mode::Resisted) {
        results.push(match chance.percent(65) {
            true => ask(Slot::Strength, Of::Any),
            false => ask(Slot::Power, Of::Any),
        });
    } else if chance.percent(82) {
        results.push(amount(reach, landmarks, chance));
    } else {
        results.push(ask(Slot::Range, Of::Any));
    }
    if mode == Some(Mode::Passive) && chance.percent(50) {
        results.push(ask(Slot::EndFeel, Of::Any));
    }
    if chance.percent(28) {
        results.extend(pain(reach, chance));
    } else if chance.percent(10) {
        results.push(ask(Slot::Sign, Of::Any));
    }
    results
}

/// Which fragments say how far, and between which degrees.
type Kind = (fn(&Fill) -> bool, [i32; 2]);

/// How far, well inside what the movement can reach.
pub(super) fn amount(reach: [i32; 2], landmarks: bool, chance: &mut Chance) -> Ask {
    let [low, high] = reach;
    let beyond = [1.max(low), 15.min(high)];
    let short = [1, 25.min(-low).max(1)];
    let usual = match low < 0 && chance.percent(5) {
        true => [low.max(-20), -1],
        false => [0.max(low), high * 85 / 100],
    };
    let kinds: [(usize, Kind); 7] = [
        (44, (|fill| *fill == Fill::Number, usual)),
        (40, (|fill| *fill == Fill::Degrees, usual)),
        (5, (|fill| matches!(fill, Fill::About(_)), usual)),
        (4, (|fill| *fill == Fill::Span, usual)),
        (
            if low < 0 { 5 } else { 0 },
            (|fill| *fill == Fill::DegreesShort, short),
        ),
        (1, (|fill| *fill == Fill::DegreesPast, beyond)),
        (
            if landmarks { 8 } else { 0 },
            (|fill| matches!(fill, Fill::Landmark(_)), usual),
        ),
    ];
    let (like, within) = chance
        .weighted(&kinds)
        .unwrap_or((|fill| *fill == Fill::Number, usual));
    Ask {
        within,
        ..ask(Slot::Amount, Of::Like(like))
    }
}

pub(super) fn pain(reach: [i32; 2], chance: &mut Chance) -> Vec<Ask> {
    let felt = ask(Slot::PainFelt, Of::Like(|fill| matches!(fill, Fill::PainFelt(_))));
    match chance.below(100) {
        0..40 => vec![felt],
        40..58 => vec![felt, ask(Slot::PainScore, Of::Any)],
        58..74 => vec![felt, ask(Slot::PainWhen, Of::Any)],
        74..90 => vec![ask(Slot::PainScore, Of::Any)],
        90..95 => vec![Ask {
            within: [30.min(reach[1]), reach[1]],
            ..ask(Slot::PainArc, Of::Any)
        }],
        _ => vec![ask(
            Slot::Sign,
            Of::Like(|fill| matches!(fill, Fill::PainSign(_))),
        )],
    }
}

pub(super) fn side(chance: &mut Chance) -> Ask {
    let like: fn(&Fill) -> bool = match chance.below(100) {
        0..44 => |fill| *fill == Fill::Side(Side::Left),
        44..88 => |fill| *fill == Fill::Side(Side::Right),
        _ => |fill| *fill == Fill::Side(Side::Both),
    };
    ask(Slot::Side, Of::Like(like))
}
