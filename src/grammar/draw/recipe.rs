//! Which places of a finding are spoken of, in which order and how often: the habits of dictation, as weights.

use super::chance::Chance;
use super::deck::Subject;
use crate::finding::{Mode, Side};
use crate::grammar::Grammar;
use crate::grammar::automaton::FragmentId;
use crate::grammar::fragment::{Fill, Slot};

/// What a phrase is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum About {
    Movement,
    /// Two findings in one breath.
    Breath,
    Muscle,
    Test,
    Palpation,
    Girth,
    Sign,
    Control,
    /// Two or three utterances, the later ones leaning on the first.
    Chain,
}

/// How often each comes, in percent.
pub(super) const ABOUT: [(usize, About); 9] = [
    (39, About::Movement),
    (4, About::Breath),
    (11, About::Muscle),
    (14, About::Test),
    (6, About::Palpation),
    (3, About::Girth),
    (4, About::Sign),
    (7, About::Control),
    (12, About::Chain),
];

impl About {
    pub(super) const ALL: [About; 9] = [
        About::Movement,
        About::Breath,
        About::Muscle,
        About::Test,
        About::Palpation,
        About::Girth,
        About::Sign,
        About::Control,
        About::Chain,
    ];

    /// Its name in the output.
    pub(super) fn name(self) -> &'static str {
        match self {
            About::Movement => "movement",
            About::Breath => "breath",
            About::Muscle => "muscle",
            About::Test => "test",
            About::Palpation => "palpation",
            About::Girth => "girth",
            About::Sign => "sign",
            About::Control => "control",
            About::Chain => "chain",
        }
    }

    /// The place whose fragments are dealt in turn.
    pub(super) fn deck(self) -> Slot {
        match self {
            About::Movement | About::Breath | About::Chain => Slot::Movement,
            About::Muscle => Slot::Muscle,
            About::Test => Slot::Test,
            About::Palpation => Slot::Structure,
            About::Girth => Slot::Girth,
            About::Sign => Slot::LocalSign,
            About::Control => Slot::None,
        }
    }
}

/// Which fragments of a place will do.
#[derive(Clone, Copy)]
pub(super) enum Of {
    /// Any that says the whole of it.
    Any,
    /// One that takes it from what was said before.
    Leaning,
    Fragment(FragmentId),
    Joint(usize),
    Movement(usize, usize),
    /// The word that opens a correction.
    Correction,
    Like(fn(&Fill) -> bool),
}

/// A fragment that is asked for, and between what its degrees lie.
#[derive(Clone, Copy)]
pub(super) struct Ask {
    pub slot: Slot,
    pub of: Of,
    pub within: [i32; 2],
}

fn ask(slot: Slot, of: Of) -> Ask {
    Ask {
        slot,
        of,
        within: [0, 90],
    }
}

/// How many utterances.
pub(super) fn turns(about: About, chance: &mut Chance) -> usize {
    match about {
        About::Chain => 2 + chance.below(2),
        _ => 1,
    }
}

/// What is asked for in one utterance. A chain may go on to another movement of the joint.
pub(super) fn asked(
    about: About,
    turn: usize,
    subject: &mut Subject,
    grammar: &Grammar,
    chance: &mut Chance,
) -> Vec<Ask> {
    match (about, *subject) {
        (About::Chain, Subject::Movement(joint, movement)) if turn > 0 => {
            follows(joint, movement, subject, grammar, chance)
        }
        (About::Breath, Subject::Movement(joint, movement)) => {
            let mut asked = whole_movement(joint, movement, grammar, chance);
            asked.extend(again(grammar.joints[joint].movements[movement].reach, chance));
            asked
        }
        (_, Subject::Movement(joint, movement)) => whole_movement(joint, movement, grammar, chance),
        (About::Control, Subject::Named(fragment)) => vec![ask(Slot::None, Of::Fragment(fragment))],
        (_, Subject::Named(fragment)) => whole_named(about, fragment, chance),
    }
}

fn side(chance: &mut Chance) -> Ask {
    let like: fn(&Fill) -> bool = match chance.below(100) {
        0..44 => |fill| *fill == Fill::Side(Side::Left),
        44..88 => |fill| *fill == Fill::Side(Side::Right),
        _ => |fill| *fill == Fill::Side(Side::Both),
    };
    ask(Slot::Side, Of::Like(like))
}

fn whole_movement(joint: usize, movement: usize, grammar: &Grammar, chance: &mut Chance) -> Vec<Ask> {
    let of = &grammar.joints[joint].movements[movement];
    let mut context = Vec::new();
    if of.sided && chance.percent(97) {
        context.push(side(chance));
    }
    if chance.percent(92) {
        context.push(ask(Slot::Joint, Of::Joint(joint)));
    }
    context.push(ask(Slot::Movement, Of::Movement(joint, movement)));
    let mode = chance.weighted(&MODES).flatten();
    context.extend(mode.map(in_mode));
    let mut results = results(mode, of.reach, of.landmarks, chance);
    match chance.below(100) {
        0..20 => chance.shuffle(&mut context),
        20..27 => context.rotate_right(1),
        27..30 => std::mem::swap(&mut context, &mut results),
        _ => {}
    }
    context.extend(results);
    context
}

const MODES: [(usize, Option<Mode>); 4] = [
    (38, Some(Mode::Active)),
    (27, Some(Mode::Passive)),
    (15, Some(Mode::Resisted)),
    (20, None),
];

fn in_mode(mode: Mode) -> Ask {
    let like: fn(&Fill) -> bool = match mode {
        Mode::Active => |fill| *fill == Fill::Mode(Mode::Active),
        Mode::Passive => |fill| *fill == Fill::Mode(Mode::Passive),
        Mode::Resisted => |fill| *fill == Fill::Mode(Mode::Resisted),
    };
    ask(Slot::Mode, Of::Like(like))
}

/// What was found of a movement: how far or how strong, then how it felt.
fn results(mode: Option<Mode>, reach: [i32; 2], landmarks: bool, chance: &mut Chance) -> Vec<Ask> {
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

/// How far, well inside what the movement can reach.
fn amount(reach: [i32; 2], landmarks: bool, chance: &mut Chance) -> Ask {
    let [low, high] = reach;
    let beyond = [1.max(low), 15.min(high)];
    let short = [1, 25.min(-low).max(1)];
    let usual = match low < 0 && chance.percent(5) {
        true => [low.max(-20), -1],
        false => [0.max(low), high * 85 / 100],
    };
    let kinds: [(usize, (fn(&Fill) -> bool, [i32; 2])); 7] = [
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

fn pain(reach: [i32; 2], chance: &mut Chance) -> Vec<Ask> {
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

/// A muscle, a test, a structure, a girth or a sign, by the fragment that names it.
fn whole_named(about: About, fragment: FragmentId, chance: &mut Chance) -> Vec<Ask> {
    let mut subject = vec![ask(about.deck(), Of::Fragment(fragment))];
    let mut results = Vec::new();
    match about {
        About::Muscle if chance.percent(85) => results.push(ask(Slot::Strength, Of::Any)),
        About::Muscle => results.push(ask(Slot::Power, Of::Any)),
        About::Test if chance.percent(72) => results.push(ask(Slot::Result, Of::Like(is_result))),
        About::Test if chance.percent(40) => results.push(ask(Slot::Result, Of::Any)),
        About::Test => results.push(amount([0, 60], false, chance)),
        About::Palpation => {
            results.push(ask(
                Slot::PainFelt,
                Of::Like(|fill| matches!(fill, Fill::Tender(_))),
            ));
            if chance.percent(20) {
                results.push(ask(Slot::PainScore, Of::Any));
            }
        }
        About::Girth => {
            if chance.percent(60) {
                let level = ask(Slot::Level, Of::Like(|fill| matches!(fill, Fill::LevelAt(_))));
                subject.push(Ask {
                    within: [5, 20],
                    ..level
                });
            }
            let around = ask(Slot::Amount, Of::Like(|fill| matches!(fill, Fill::Measure(_))));
            results.push(Ask {
                within: [15, 95],
                ..around
            });
        }
        _ => subject.push(ask(Slot::Joint, Of::Any)),
    }
    if matches!(about, About::Muscle | About::Test) {
        if chance.percent(15) {
            subject.insert(0, ask(Slot::Joint, Of::Any));
        }
        if chance.percent(18) {
            results.extend(pain([0, 60], chance));
        }
    }
    match chance.below(100) {
        0..78 => subject.insert(0, side(chance)),
        78..84 => subject.push(side(chance)),
        84..90 => results.push(side(chance)),
        _ => {}
    }
    subject.extend(results);
    subject
}

fn is_result(fill: &Fill) -> bool {
    matches!(fill, Fill::Result(_))
}

/// The next finding of the same movement: in another way of moving, or on another side.
fn again(reach: [i32; 2], chance: &mut Chance) -> Vec<Ask> {
    let mode = chance.weighted(&MODES[..3]).flatten();
    let mut asked = Vec::new();
    let other_side = chance.percent(50);
    if other_side {
        asked.push(side(chance));
    }
    let mode = mode.filter(|_| !other_side || chance.percent(40));
    asked.extend(mode.map(in_mode));
    asked.extend(results(mode, reach, false, chance));
    asked
}

/// What is said after a finding of `movement`, leaning on it.
fn follows(
    joint: usize,
    movement: usize,
    subject: &mut Subject,
    grammar: &Grammar,
    chance: &mut Chance,
) -> Vec<Ask> {
    let reach = grammar.joints[joint].movements[movement].reach;
    let side = side(chance);
    match chance.below(100) {
        0..42 => again(reach, chance),
        42..52 => vec![side, ask(Slot::Copy, Of::Leaning)],
        52..56 => vec![ask(Slot::Side, Of::Leaning), amount(reach, false, chance)],
        56..72 => {
            let next = chance.below(grammar.joints[joint].movements.len());
            *subject = Subject::Movement(joint, next);
            let mut asked = vec![ask(Slot::Movement, Of::Movement(joint, next))];
            asked.extend(results(
                None,
                grammar.joints[joint].movements[next].reach,
                false,
                chance,
            ));
            asked
        }
        72..86 => vec![ask(
            Slot::None,
            Of::Like(|fill| matches!(fill, Fill::Control { opens: false, .. })),
        )],
        _ => {
            let change = match chance.below(5) {
                0 => side,
                1 => ask(Slot::EndFeel, Of::Any),
                2 => ask(Slot::Mode, Of::Any),
                _ => amount(reach, false, chance),
            };
            vec![ask(Slot::None, Of::Correction), change]
        }
    }
}
