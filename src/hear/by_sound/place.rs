//! Where the search by sound stands.

use std::cmp::Ordering;

use crate::grammar::lexicon::Word;
use crate::grammar::phrase_state::StateId;

/// A place in the search.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    pub cost: f32,
    pub state: StateId,
    /// How far into which trie of next words; [`BETWEEN`] words.
    pub node: (u32, u32),
    /// The words so far: a place in the list of histories.
    pub history: u32,
}

/// The words of a place, last first.
#[derive(Clone, Copy, Debug)]
pub(super) struct History {
    pub word: Word,
    pub before: u32,
}

pub(super) const NO_WORDS: u32 = u32::MAX;
/// Between two words.
pub(super) const BETWEEN: (u32, u32) = (u32::MAX, 0);

/// Two histories are the same words.
pub(super) fn same(histories: &[History], mut one: u32, mut other: u32) -> bool {
    while one != other {
        let (Some(a), Some(b)) = (histories.get(one as usize), histories.get(other as usize)) else {
            return false;
        };
        if a.word != b.word {
            return false;
        }
        (one, other) = (a.before, b.before);
    }
    true
}

/// Orders places so that a heap gives the cheapest first, and among equals always the same.
pub(super) struct Cheapest(pub Place);

impl Cheapest {
    fn key(&self) -> (f32, StateId, (u32, u32), u32) {
        (self.0.cost, self.0.state, self.0.node, self.0.history)
    }
}

impl Ord for Cheapest {
    fn cmp(&self, other: &Cheapest) -> Ordering {
        let (one, other) = (other.key(), self.key());
        one.0
            .total_cmp(&other.0)
            .then_with(|| (one.1, one.2, one.3).cmp(&(other.1, other.2, other.3)))
    }
}

impl PartialOrd for Cheapest {
    fn partial_cmp(&self, other: &Cheapest) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Cheapest {
    fn eq(&self, other: &Cheapest) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Cheapest {}
