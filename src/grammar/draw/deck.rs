//! Fragments by what they say, and everything that can be examined in turn, so that none is forgotten.

use std::collections::HashMap;

use super::about::About;
use super::chance::Chance;
use super::leans;
use super::recipe::{Ask, Of};
use crate::grammar::Grammar;
use crate::grammar::automaton::FragmentId;
use crate::grammar::fragment::{Fill, Slot};

/// What one phrase is about.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Subject {
    /// Joint and movement, as indices into the grammar.
    Movement(usize, usize),
    /// A fragment that names it.
    Named(FragmentId),
}

/// Cards of everything that can be examined or said, each dealt once before any comes again.
pub(super) struct Decks {
    slots: HashMap<Slot, Vec<FragmentId>>,
    dealt: HashMap<Slot, Vec<Subject>>,
    all: HashMap<Slot, Vec<Subject>>,
}

impl Decks {
    pub(super) fn new(grammar: &Grammar, chance: &mut Chance) -> Decks {
        let mut slots: HashMap<Slot, Vec<FragmentId>> = HashMap::new();
        for id in 0..grammar.automaton.size().1 as FragmentId {
            let fragment = grammar.automaton.fragment(id);
            if fragment.place.is_none()
                && !matches!(fragment.fill, Fill::Ask(_) | Fill::Note | Fill::Filler { .. })
            {
                slots.entry(fragment.fill.slot()).or_default().push(id);
            }
        }
        let movements = (0..grammar.joints.len()).flat_map(|joint| {
            (0..grammar.joints[joint].movements.len()).map(move |movement| Subject::Movement(joint, movement))
        });
        let mut all = HashMap::from([(Slot::Movement, movements.collect::<Vec<_>>())]);
        for (&slot, fragments) in &slots {
            let subjects = fragments.iter().map(|&fragment| Subject::Named(fragment));
            all.entry(slot).or_insert_with(|| subjects.collect());
        }
        let mut decks = Decks {
            slots,
            dealt: HashMap::new(),
            all,
        };
        for about in About::ALL {
            decks.shuffle(about.deck(), chance);
        }
        decks
    }

    fn shuffle(&mut self, slot: Slot, chance: &mut Chance) {
        let mut cards = self.all.get(&slot).cloned().unwrap_or_default();
        chance.shuffle(&mut cards);
        self.dealt.insert(slot, cards);
    }

    /// The next card of what a phrase can be about.
    pub(super) fn next(&mut self, about: About, grammar: &Grammar, chance: &mut Chance) -> Option<Subject> {
        let slot = about.deck();
        let mut left = self.all.get(&slot)?.len();
        while left > 0 {
            left -= 1;
            if self.dealt.get(&slot).is_none_or(Vec::is_empty) {
                self.shuffle(slot, chance);
            }
            let card = self.dealt.get_mut(&slot)?.pop()?;
            let opens = |fill: &Fill| matches!(fill, Fill::Control { opens: true, .. });
            match card {
                Subject::Named(fragment) if opens(&grammar.automaton.fragment(fragment).fill) => {}
                card => return Some(card),
            }
        }
        None
    }

    /// A fragment that says what is asked for.
    pub(super) fn fragment(&self, ask: &Ask, grammar: &Grammar, chance: &mut Chance) -> Option<FragmentId> {
        let fill = |id: FragmentId| &grammar.automaton.fragment(id).fill;
        let fits = |id: &FragmentId| match (&ask.of, fill(*id)) {
            (Of::Fragment(fragment), _) => id == fragment,
            (Of::Joint(joint), Fill::Joint(named)) => joint == named,
            (Of::Movement(joint, movement), Fill::Movement(named)) => named.contains(&(*joint, *movement)),
            (Of::Correction, Fill::Control { opens, everyday, .. }) => *opens && !everyday,
            (Of::Leaning, fill) => leans(fill),
            (Of::Like(like), fill) => like(fill),
            (Of::Any, fill) => !leans(fill),
            _ => false,
        };
        let fitting = self.slots.get(&ask.slot)?.iter().copied().filter(fits);
        // One that only ever belongs to what was said before it is the unusual wording.
        let weight = |id: FragmentId| {
            if grammar.automaton.fragment(id).after {
                1
            } else {
                9
            }
        };
        let weighted: Vec<(usize, FragmentId)> = fitting.map(|id| (weight(id), id)).collect();
        chance.weighted(&weighted)
    }
}
