//! The search for what was dictated: the grammar's sentences, scored by the model.
//!
//! First the likeliest token that the grammar allows is taken at every step (one pass; the grammar cannot loop).
//! Then the closest decisions are reversed, best first, each followed to its end, until the time is spent or nothing
//! left could be nearly as good as the best. The result is a list of sentences with their scores, and is the same for
//! the same sound every time.

mod spelling;

use std::collections::{BTreeMap, BinaryHeap};

use super::engine::{Engine, EngineError, Token};
use spelling::Position;
pub use spelling::Spelling;

/// A sentence of the grammar that the sound may hold.
#[derive(Clone, Debug, PartialEq)]
pub struct Hypothesis {
    pub text: String,
    pub tokens: Vec<Token>,
    /// Log-probability of the whole sentence, its end included, in nats.
    pub score: f32,
    /// For each token and the end: how much less likely it is than what the model would freely write there, in nats;
    /// 0 where the grammar did not have to bend it.
    pub bends: Vec<f32>,
}

impl Hypothesis {
    /// Mean of [`bends`](Hypothesis::bends), at most 0.
    pub fn mean_bend(&self) -> f32 {
        self.bends.iter().sum::<f32>() / self.bends.len().max(1) as f32
    }

    /// The worst of [`bends`](Hypothesis::bends).
    pub fn worst_bend(&self) -> f32 {
        self.bends.iter().copied().fold(0.0, f32::min)
    }
}

/// How much the search may do.
#[derive(Clone, Copy, Debug)]
pub struct Effort {
    /// Steps of the decoder after the first pass.
    pub steps: usize,
    /// A sentence this much less likely than the best, in nats, is not followed up.
    pub width: f32,
    /// Tokens of the longest sentence.
    pub tokens: usize,
}

impl Default for Effort {
    fn default() -> Effort {
        Effort {
            steps: 40,
            width: 8.0,
            tokens: 60,
        }
    }
}

/// A sentence begun.
#[derive(Clone, Debug)]
struct Path {
    tokens: Vec<Token>,
    /// `None`: the sentence has ended.
    position: Option<Position>,
    score: f32,
    bends: Vec<f32>,
}

/// A path kept for later, in the order of its score.
struct Later(Path);

impl PartialEq for Later {
    fn eq(&self, other: &Later) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Later {}

impl PartialOrd for Later {
    fn partial_cmp(&self, other: &Later) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Later {
    fn cmp(&self, other: &Later) -> std::cmp::Ordering {
        // Of two equally good the one with the smaller tokens goes first, so that the order never depends on chance.
        self.0
            .score
            .total_cmp(&other.0.score)
            .then_with(|| other.0.tokens.cmp(&self.0.tokens))
    }
}

/// How many ways on from a step are worth remembering.
const BRANCHES: usize = 4;

/// The likeliest sentences of the grammar for the sound that `engine` has encoded, best first.
pub fn search(
    engine: &mut Engine,
    spelling: &mut Spelling,
    effort: Effort,
) -> Result<Vec<Hypothesis>, EngineError> {
    let mut later = BinaryHeap::new();
    later.push(Later(Path {
        tokens: Vec::new(),
        position: Some(spelling.start()),
        score: 0.0,
        bends: Vec::new(),
    }));
    let mut found: BTreeMap<Vec<Token>, Hypothesis> = BTreeMap::new();
    let mut best = f32::NEG_INFINITY;
    let mut steps = 0;
    while let Some(Later(path)) = later.pop() {
        if path.score < best - effort.width || (best.is_finite() && steps >= effort.steps) {
            break;
        }
        if let Some(sentence) = follow(engine, spelling, effort, path, best, &mut later, &mut steps)? {
            best = best.max(sentence.score);
            found.entry(sentence.tokens.clone()).or_insert(sentence);
        }
    }
    let mut sentences: Vec<Hypothesis> = found.into_values().collect();
    sentences.sort_by(|a, b| b.score.total_cmp(&a.score));
    Ok(sentences)
}

/// Follows a path to its end by the likeliest token at each step, leaving the others for later. `None` if it falls
/// too far behind or the grammar knows no way on.
fn follow(
    engine: &mut Engine,
    spelling: &mut Spelling,
    effort: Effort,
    mut path: Path,
    best: f32,
    later: &mut BinaryHeap<Later>,
    steps: &mut usize,
) -> Result<Option<Hypothesis>, EngineError> {
    let end = engine.vocabulary().end_of_text();
    loop {
        if path.score < best - effort.width || path.tokens.len() >= effort.tokens {
            return Ok(None);
        }
        let Some(position) = path.position else {
            return Ok(Some(sentence(engine, path)));
        };
        *steps += 1;
        let scores = engine.scores(&path.tokens)?;
        let free = scores.iter().copied().fold(f32::NEG_INFINITY, f32::max);
        let ways = spelling.ways(position);
        let mut ahead: Vec<(f32, Option<(Token, Position)>)> = ways
            .tokens
            .iter()
            .map(|&(token, to)| (scores[token as usize], Some((token, to))))
            .collect();
        if ways.end {
            ahead.push((scores[end as usize], None));
        }
        ahead.sort_by(|a, b| {
            b.0.total_cmp(&a.0)
                .then_with(|| a.1.map(|w| w.0).cmp(&b.1.map(|w| w.0)))
        });
        ahead.truncate(BRANCHES);
        let mut ahead = ahead.into_iter().map(|(score, way)| {
            let mut next = path.clone();
            next.score += score;
            next.bends.push(score - free);
            next.tokens.extend(way.map(|(token, _)| token));
            next.position = way.map(|(_, position)| position);
            next
        });
        let Some(likeliest) = ahead.next() else {
            return Ok(None);
        };
        later.extend(ahead.map(Later));
        path = likeliest;
    }
}

fn sentence(engine: &Engine, path: Path) -> Hypothesis {
    Hypothesis {
        text: engine.words(&path.tokens).trim().to_string(),
        tokens: path.tokens,
        score: path.score,
        bends: path.bends,
    }
}
