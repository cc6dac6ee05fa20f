//! Which places of a finding are spoken of, in which order and how often: the habits of dictation, as weights.

use super::about::About;
use super::chance::Chance;
use super::deck::Subject;
use super::results::{MODES, amount, in_mode, pain, results, side};
use crate::grammar::Grammar;
use crate::grammar::automaton::FragmentId;
use crate::grammar::fragment::{Fill, Slot};

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

pub(super) fn ask(slot: Slot, of: Of) -> Ask {
    Ask {
        slot,
        of,
        within: [0, 90],
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
