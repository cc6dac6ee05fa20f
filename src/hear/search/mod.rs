//! The search for what was dictated: the grammar's sentences, scored by the model.
//!
//! A best-first search: of all sentences begun, the one that looks best goes on by one token. How a sentence looks is
//! its score with an allowance for every token, so that a long one is not at a disadvantage against a short one.
//! Two beginnings with the same letters are one: the better goes on. Nothing is said twice, because the grammar knows
//! no way back. The result is a list of sentences with their scores, and is the same for the same sound every time.

mod spelling;

use std::collections::{BinaryHeap, HashSet};

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
    /// Steps of the decoder.
    pub steps: usize,
    /// Steps after the first sentence has been found, and fewer if the grammar hardly bent the model for it.
    pub steps_after: usize,
    pub steps_after_unbent: usize,
    /// Sentences found.
    pub sentences: usize,
    /// Tokens of the longest sentence.
    pub tokens: usize,
}

impl Default for Effort {
    fn default() -> Effort {
        Effort {
            steps: 80,
            steps_after: 8,
            steps_after_unbent: 3,
            sentences: 5,
            tokens: 60,
        }
    }
}

/// What a token of a right sentence costs at most as a rule, in nats: the allowance for each.
const ALLOWANCE: f32 = 1.0;
/// A mean bend up to which a sentence hardly needed bending, in nats.
const UNBENT: f32 = -0.1;
/// A sound-alike less likely than the best sentence by more than this, in nats, is no rival.
const NO_RIVAL: f32 = 4.0;
/// Once a sentence has been found, beginnings that look worse than it by more than this, in nats, are left.
const BEHIND: f32 = 2.5;
/// A beginning of at least [`HOPELESS_TOKENS`] tokens with a mean bend below this, in nats, is talk.
const HOPELESS: f32 = -3.0;
const HOPELESS_TOKENS: usize = 3;
/// A sentence bent more than this on the mean is not taken, so that its rivals need not be known.
const WORTH_A_RIVAL: f32 = -1.5;
/// How many ways on from a step are worth remembering.
const BRANCHES: usize = 6;
/// A way on that is less likely than the likeliest by more than this, in nats, is not worth remembering.
const WIDTH: f32 = 9.0;

/// A sentence begun.
#[derive(Clone, Debug)]
struct Path {
    tokens: Vec<Token>,
    position: Position,
    /// The sentence has ended there.
    ended: bool,
    score: f32,
    bends: Vec<f32>,
    /// Its letters, see [`letters_in`].
    letters: String,
    /// Position and score after each token.
    trail: Vec<(Position, f32)>,
}

impl Path {
    fn beginning(position: Position) -> Path {
        Path {
            tokens: Vec::new(),
            position,
            ended: false,
            score: 0.0,
            bends: Vec::new(),
            letters: String::new(),
            trail: Vec::new(),
        }
    }

    /// As much of the path as spells the beginning of `letters`.
    fn shared_with(&self, letters: &str, spelling: &mut Spelling) -> Path {
        let mut shared = Path::beginning(spelling.start());
        for (at, &token) in self.tokens.iter().enumerate() {
            let more = shared.letters.clone() + spelling.letters(token);
            if !letters.starts_with(&more) {
                break;
            }
            shared.letters = more;
            shared.tokens.push(token);
            shared.bends.push(self.bends[at]);
            (shared.position, shared.score) = self.trail[at];
            shared.trail.push(self.trail[at]);
        }
        shared
    }

    fn looks(&self) -> f32 {
        self.score + ALLOWANCE * self.bends.len() as f32
    }

    fn is_hopeless(&self) -> bool {
        let tokens = self.bends.len();
        tokens >= HOPELESS_TOKENS && self.bends.iter().sum::<f32>() < HOPELESS * tokens as f32
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
        self.looks()
            .total_cmp(&other.looks())
            .then_with(|| other.tokens.cmp(&self.tokens))
    }
}

/// The likeliest sentences of the grammar for the sound that `engine` has encoded, best first.
pub fn search(
    engine: &mut Engine,
    spelling: &mut Spelling,
    effort: Effort,
) -> Result<Vec<Hypothesis>, EngineError> {
    let beginning = Path::beginning(spelling.start());
    let mut found = find(engine, spelling, effort, beginning, None)?;
    // What sounds like a word of the best sentence is scored too, however unlikely it looked on the way.
    let best = found
        .iter()
        .max_by(|a, b| a.1.score.total_cmp(&b.1.score))
        .cloned();
    if let Some((sentence, path)) = best.filter(|(sentence, _)| sentence.mean_bend() >= WORTH_A_RIVAL) {
        for letters in spelling.sound_alikes(&sentence.text) {
            if found.iter().any(|(known, _)| letters_of(&known.text) == letters) {
                continue;
            }
            let shared = path.shared_with(&letters, spelling);
            let steps = 2 * (path.tokens.len() - shared.tokens.len()) + 4;
            let one = Effort {
                steps,
                sentences: 1,
                ..effort
            };
            let goal = Goal {
                letters: &letters,
                least: sentence.score - NO_RIVAL,
            };
            found.extend(find(engine, spelling, one, shared, Some(goal))?);
        }
    }
    let mut sentences: Vec<Hypothesis> = found.into_iter().map(|(sentence, _)| sentence).collect();
    sentences.sort_by(|a, b| b.score.total_cmp(&a.score));
    Ok(sentences)
}

/// The one sentence that is looked for.
#[derive(Clone, Copy)]
struct Goal<'a> {
    letters: &'a str,
    /// It is given up below this score.
    least: f32,
}

/// The search itself, from a beginning on.
fn find(
    engine: &mut Engine,
    spelling: &mut Spelling,
    effort: Effort,
    from: Path,
    goal: Option<Goal<'_>>,
) -> Result<Vec<(Hypothesis, Path)>, EngineError> {
    let mut ahead = BinaryHeap::from([from]);
    let mut seen: HashSet<(Position, bool, String)> = HashSet::new();
    let mut found: Vec<(Hypothesis, Path)> = Vec::new();
    let mut left = effort.steps;
    let mut least = f32::NEG_INFINITY;
    while let Some(path) = ahead.pop() {
        if path.looks() < least {
            break;
        }
        if goal.is_some_and(|goal| path.score < goal.least) {
            continue;
        }
        if !seen.insert((path.position, path.ended, path.letters.clone())) {
            continue;
        }
        if path.ended {
            least = least.max(path.looks() - BEHIND);
            let sentence = sentence(engine, &path);
            let unbent = sentence.mean_bend() >= UNBENT;
            left = left.min(if unbent {
                effort.steps_after_unbent
            } else {
                effort.steps_after
            });
            // The same words with and without a full stop are one sentence.
            if !found
                .iter()
                .any(|(known, _)| spelling.says_the_same(&known.text, &sentence.text))
            {
                found.push((sentence, path));
            }
            if found.len() == effort.sentences {
                break;
            }
            continue;
        };
        if left == 0 {
            break;
        }
        if path.tokens.len() < effort.tokens && (goal.is_some() || !path.is_hopeless()) {
            left -= 1;
            ahead.extend(ways_on(engine, spelling, &path, goal.map(|goal| goal.letters))?);
        }
    }
    Ok(found)
}

/// The path with each of the likeliest next tokens, and ended where it may end.
fn ways_on(
    engine: &mut Engine,
    spelling: &mut Spelling,
    path: &Path,
    goal: Option<&str>,
) -> Result<Vec<Path>, EngineError> {
    let end = engine.vocabulary().end_of_text();
    let scores = engine.scores(&path.tokens)?;
    let free = scores.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    let (ways, may_end) = spelling.ways(path.position);
    let mut likely: Vec<(f32, Option<(Token, Position)>)> = ways
        .into_iter()
        .map(|(token, to)| (scores[token as usize], Some((token, to))))
        .collect();
    if may_end {
        likely.push((scores[end as usize], None));
    }
    if let Some(goal) = goal {
        let rest = &goal[path.letters.len()..];
        likely.retain(|(_, way)| match way {
            Some((token, _)) => rest.starts_with(spelling.letters(*token)),
            None => rest.is_empty(),
        });
    }
    likely.sort_by(|a, b| {
        b.0.total_cmp(&a.0)
            .then_with(|| a.1.map(|way| way.0).cmp(&b.1.map(|way| way.0)))
    });
    likely.truncate(BRANCHES);
    let best = likely.first().map_or(0.0, |way| way.0);
    likely.retain(|way| goal.is_some() || way.0 >= best - WIDTH);
    let on = likely.into_iter().map(|(score, way)| {
        let mut next = path.clone();
        next.score += score;
        next.bends.push(score - free);
        next.ended = way.is_none();
        if let Some((token, position)) = way {
            next.position = position;
            next.tokens.push(token);
            next.trail.push((position, next.score));
            next.letters += spelling.letters(token);
        }
        next
    });
    Ok(on.collect())
}

/// The letters, digits and plus signs of a piece of text, small: with the position in the grammar, which knows a
/// minus from a hyphen, they make two spellings the same sentence.
fn letters_in(bytes: &[u8]) -> String {
    let letters = bytes
        .iter()
        .filter(|byte| byte.is_ascii_alphanumeric() || **byte == b'+');
    letters.map(|byte| byte.to_ascii_lowercase() as char).collect()
}

fn letters_of(text: &str) -> String {
    letters_in(text.as_bytes())
}

fn sentence(engine: &Engine, path: &Path) -> Hypothesis {
    Hypothesis {
        text: engine.words(&path.tokens).trim().to_string(),
        tokens: path.tokens.clone(),
        score: path.score,
        bends: path.bends.clone(),
    }
}
