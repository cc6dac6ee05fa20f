//! A sentence begun, and how good it looks.

use super::spelling::Position;
use crate::hear::engine::Token;

/// What a token of a right sentence costs at most as a rule, in nats: the allowance for each.
const ALLOWANCE: f32 = 1.0;
/// A beginning bent by more than this in all, in nats, and so much more for each of its tokens, is talk.
const HOPELESS: f32 = -7.0;
const HOPELESS_MORE: f32 = -0.6;

/// A sentence begun.
#[derive(Clone, Debug)]
pub(super) struct Path {
    pub tokens: Vec<Token>,
    pub position: Position,
    /// The sentence has ended there.
    pub ended: bool,
    pub score: f32,
    /// Of its wordings, in nats, see [`Weight`](crate::grammar::weight::Weight): it orders the search and is no part of
    /// the score, which says how well the sound fits.
    pub weight: f32,
    pub bends: Vec<f32>,
    /// Its letters, see [`letters_in`](super::letters_in).
    pub letters: String,
    /// Number of letters and score after each token and the end.
    pub trail: Vec<(usize, f32)>,
    /// How good it looks: the order of the search.
    pub looks: f32,
}

impl Path {
    pub fn beginning(position: Position) -> Path {
        Path {
            tokens: Vec::new(),
            position,
            ended: false,
            score: 0.0,
            weight: 0.0,
            bends: Vec::new(),
            letters: String::new(),
            trail: Vec::new(),
            looks: 0.0,
        }
    }

    /// The path with a token more, its letters and where it leads, or with its end.
    pub fn on(&self, score: f32, bend: f32, gain: f32, way: Option<(Token, &str, Position)>) -> Path {
        let mut next = self.clone();
        next.score += score;
        next.weight += gain;
        next.bends.push(bend);
        next.ended = way.is_none();
        if let Some((token, letters, position)) = way {
            next.tokens.push(token);
            next.letters += letters;
            next.position = position;
        }
        next.trail.push((next.letters.len(), next.score));
        next.looks = next.score + next.weight + ALLOWANCE * next.bends.len() as f32;
        next
    }

    /// Bent so much that it is talk.
    pub fn is_hopeless(&self) -> bool {
        self.bends.iter().sum::<f32>() < HOPELESS + HOPELESS_MORE * self.bends.len() as f32
    }

    /// What all that follows its last `letters` letters added to the score: at most 0, and rather too little. Where
    /// they begin inside a token, only what comes after that token counts.
    pub fn rest(&self, letters: usize) -> f32 {
        let Some(from) = self.letters.len().checked_sub(letters) else {
            return self.score;
        };
        let Some(from) = self.trail.iter().map(|at| at.0).find(|at| *at >= from) else {
            return 0.0;
        };
        // Marks have no letters: what is written with those before is not part of the rest.
        let before = self.trail.iter().rev().find(|at| at.0 == from);
        self.score - before.map_or(0.0, |at| at.1)
    }
}

impl PartialEq for Path {
    fn eq(&self, other: &Path) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Path {}

impl PartialOrd for Path {
    fn partial_cmp(&self, other: &Path) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Path {
    fn cmp(&self, other: &Path) -> std::cmp::Ordering {
        // Of two that look alike the one with the smaller tokens goes first: the order never depends on chance.
        self.looks
            .total_cmp(&other.looks)
            .then_with(|| other.tokens.cmp(&self.tokens))
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BinaryHeap;

    use super::*;

    /// Two words that sound nearly the same: the one that weighs less waits, unless it fits the sound so much better.
    #[test]
    fn a_weight_orders_the_search_and_leaves_the_score_alone() {
        let begun = Path::beginning(Position::START);
        let way = |token, letters| Some((token, letters, Position::START));
        let common = |score| begun.on(score, score, 0.0, way(1, "twenty"));
        let rare = |score| begun.on(score, score, -2.0, way(2, "empty"));
        let first = |paths: [Path; 2]| BinaryHeap::from(paths).pop().map(|path| path.letters);
        assert_eq!(first([rare(-1.0), common(-2.0)]).as_deref(), Some("twenty"));
        assert_eq!(first([rare(-1.0), common(-3.5)]).as_deref(), Some("empty"));
        let path = rare(-1.0);
        assert_eq!(
            (path.score, &path.bends[..], path.weight),
            (-1.0, &[-1.0][..], -2.0)
        );
        assert_eq!(path.on(-0.5, 0.0, 0.0, None).looks, path.looks + ALLOWANCE - 0.5);
    }
}
