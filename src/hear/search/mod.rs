//! The search for what was dictated: the grammar's sentences, scored by the model.
//!
//! A best-first search: of all sentences begun, the one that looks best goes on by one token. How a sentence looks is
//! its score with an allowance for every token, so that a long one is not at a disadvantage against a short one, and
//! with the weight of its wordings.
//! Two beginnings with the same letters are one: the better goes on. Nothing is said twice, because the grammar knows
//! no way back. The result is a list of sentences with their scores, and is the same for the same sound every time.

mod path;
mod rivals;
mod spelling;

use std::collections::{BinaryHeap, HashSet};

use super::engine::{Engine, EngineError, Token};
use crate::grammar::weight::Weight;
use path::Path;
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
    /// How far its sounds are from those of the free transcript, see [`SoundsLike::distance`].
    pub distance: f32,
    /// The search did not find it; another reader named it.
    pub proposed: bool,
}

impl Hypothesis {
    /// Mean of [`bends`](Hypothesis::bends), at most 0.
    pub fn mean_bend(&self) -> f32 {
        mean(&self.bends)
    }

    /// The worst of [`bends`](Hypothesis::bends).
    pub fn worst_bend(&self) -> f32 {
        self.bends.iter().copied().fold(0.0, f32::min)
    }
}

/// How much the search may do.
#[derive(Clone, Copy, Debug)]
pub struct Effort {
    /// Steps of the decoder, beyond those of the free transcript.
    pub steps: usize,
    /// Steps after the first sentence has been found, and fewer if the grammar hardly bent the model for it: then its
    /// rivals are those that differ in a word, which are looked for by themselves.
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
            steps_after_unbent: 0,
            sentences: 5,
            tokens: 60,
        }
    }
}

impl Effort {
    /// Steps after a sentence has been found.
    fn after(&self, found: &Path) -> usize {
        match mean(&found.bends) >= UNBENT {
            true => self.steps_after_unbent,
            false => self.steps_after,
        }
    }
}

/// A mean bend up to which a sentence hardly needed bending, in nats.
const UNBENT: f32 = -0.1;
/// A sentence less likely than the best by more than this, in nats, is no rival: somewhat more than what
/// raises a doubt when one is chosen.
const NO_RIVAL: f32 = 3.5;
/// Once a sentence has been found, beginnings that look worse than it by more than this, in nats, are left.
const BEHIND: f32 = 2.5;
/// A sentence bent more than this on the mean is not taken, so that its rivals need not be known.
const WORTH_A_RIVAL: f32 = -1.5;
/// A mean bend from which a sentence fits well enough that no other reader need be asked.
const WELL: f32 = -0.4;
/// Marks between words that a sentence may have.
const MARKS: usize = 20;
/// How many ways on from a step are worth remembering.
const BRANCHES: usize = 6;
/// A way on that is less likely than the likeliest by more than this, in nats, is not worth remembering.
const WIDTH: f32 = 9.0;

/// The likeliest sentences of the grammar for the sound that `engine` has encoded, best first.
///
/// If the model would have to be bent for all of them, those that `propose` names are scored too: sentences that another
/// reader takes for likely, each in the ways in which it may be written.
pub fn search(
    engine: &mut Engine,
    spelling: &mut Spelling,
    effort: Effort,
    propose: impl FnOnce() -> Vec<Vec<String>>,
) -> Result<Vec<Hypothesis>, EngineError> {
    let mut found = find(engine, spelling, effort, None)?;
    let mut proposed: Vec<String> = Vec::new();
    if found.iter().all(|path| mean(&path.bends) < WELL) {
        for ways in propose() {
            for text in ways {
                let letters = letters_of(&text);
                if found.iter().all(|path| path.letters != letters)
                    && let Some(path) = score(engine, spelling, &letters)?
                {
                    found.push(path);
                    proposed.push(letters);
                    break;
                }
            }
        }
    }
    let best = found.iter().max_by(|a, b| a.score.total_cmp(&b.score)).cloned();
    if let Some(best) = best.filter(|best| mean(&best.bends) >= WORTH_A_RIVAL) {
        rivals::add(engine, spelling, effort, &best, &mut found)?;
    }
    let sentences = found.into_iter().map(|path| Hypothesis {
        proposed: proposed.contains(&path.letters),
        ..sentence(engine, path)
    });
    let mut sentences: Vec<Hypothesis> = sentences.collect();
    sentences.sort_by(|a, b| b.score.total_cmp(&a.score));
    Ok(sentences)
}

/// The sentence with these letters, written as the model likes best token by token: one step for each that it does not
/// know yet. `None` if it cannot be written.
fn score(engine: &mut Engine, spelling: &mut Spelling, letters: &str) -> Result<Option<Path>, EngineError> {
    let goal = Goal {
        letters,
        best: None,
        least: f32::NEG_INFINITY,
    };
    let mut path = Path::beginning(spelling.start());
    while !path.ended && path.tokens.len() < letters.len() + MARKS {
        // A mark adds no letters, and may stand in a row; the first way on is the likeliest.
        match ways_on(engine, spelling, &path, Some(goal))?.into_iter().next() {
            Some(next) => path = next,
            None => return Ok(None),
        }
    }
    Ok(path.ended.then_some(path))
}

/// The one sentence that is looked for.
#[derive(Clone, Copy)]
struct Goal<'a> {
    letters: &'a str,
    /// The best sentence, which differs from it in a word: what is left to write will cost about the same.
    best: Option<&'a Path>,
    /// It is given up once it cannot reach this score.
    least: f32,
}

impl Goal<'_> {
    /// The score that a path will have in the end.
    fn expected(&self, path: &Path) -> f32 {
        let rest = self.letters.len() - path.letters.len();
        path.score + self.best.map_or(0.0, |best| best.rest(rest))
    }
}

/// The search itself: the whole paths found, in the order of finding.
fn find(
    engine: &mut Engine,
    spelling: &mut Spelling,
    effort: Effort,
    goal: Option<Goal<'_>>,
) -> Result<Vec<Path>, EngineError> {
    let mut ahead = BinaryHeap::from([Path::beginning(spelling.start())]);
    let mut seen: HashSet<(Position, bool, String)> = HashSet::new();
    let mut left = effort.steps;
    let (mut least_looks, mut least_score) = (f32::NEG_INFINITY, f32::NEG_INFINITY);
    let mut found: Vec<Path> = Vec::new();
    while let Some(path) = ahead.pop() {
        if path.looks < least_looks {
            break;
        }
        // Nothing that follows can raise a score.
        if path.score < least_score || goal.is_some_and(|goal| goal.expected(&path) < goal.least) {
            continue;
        }
        if !seen.insert((path.position, path.ended, path.letters.clone())) {
            continue;
        }
        if path.ended {
            least_looks = least_looks.max(path.looks - BEHIND);
            least_score = least_score.max(path.score - NO_RIVAL);
            left = left.min(effort.after(&path));
            // The same words with and without a full stop are one sentence.
            let text = engine.words(&path.tokens);
            if !found
                .iter()
                .any(|known| spelling.says_the_same(&engine.words(&known.tokens), &text))
            {
                found.push(path);
            }
            if found.len() >= effort.sentences {
                break;
            }
            continue;
        };
        if left == 0 {
            break;
        }
        if path.tokens.len() < effort.tokens && (goal.is_some() || !path.is_hopeless()) {
            left -= usize::from(!engine.knows(&path.tokens));
            ahead.extend(ways_on(engine, spelling, &path, goal)?);
        }
    }
    Ok(found)
}

/// A way on: its score, what it adds to the weight, and the token with where it leads; the end has none.
type Way = (f32, Weight, Option<(Token, Position)>);

/// The path with each of the likeliest next tokens, and ended where it may end.
fn ways_on(
    engine: &mut Engine,
    spelling: &mut Spelling,
    path: &Path,
    goal: Option<Goal<'_>>,
) -> Result<Vec<Path>, EngineError> {
    let end = engine.vocabulary().end_of_text();
    let scores = engine.scores(&path.tokens)?;
    let free = scores.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    let (ways, may_end) = spelling.ways(path.position);
    let mut likely: Vec<Way> = ways
        .into_iter()
        .map(|(token, to, gain)| (scores[token as usize], gain, Some((token, to))))
        .collect();
    likely.extend(may_end.map(|gain| (scores[end as usize], gain, None)));
    if let Some(goal) = goal {
        let rest = &goal.letters[path.letters.len()..];
        likely.retain(|(.., way)| match way {
            Some((token, _)) => rest.starts_with(spelling.letters(*token)),
            None => rest.is_empty(),
        });
    }
    likely.sort_by(|a, b| {
        b.0.total_cmp(&a.0)
            .then_with(|| a.2.map(|way| way.0).cmp(&b.2.map(|way| way.0)))
    });
    likely.truncate(BRANCHES);
    let best = likely.first().map_or(0.0, |way| way.0);
    likely.retain(|way| goal.is_some() || way.0 >= best - WIDTH);
    let on = likely.into_iter().map(|(score, gain, way)| {
        let way = way.map(|(token, to)| (token, spelling.letters(token), to));
        let mut next = path.on(score, score - free, gain.nats(), way);
        if let Some(goal) = goal {
            next.looks = goal.expected(&next);
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

fn mean(bends: &[f32]) -> f32 {
    bends.iter().sum::<f32>() / bends.len().max(1) as f32
}

fn sentence(engine: &Engine, path: Path) -> Hypothesis {
    Hypothesis {
        text: engine.words(&path.tokens).trim().to_string(),
        tokens: path.tokens,
        score: path.score,
        bends: path.bends,
        distance: 0.0,
        proposed: false,
    }
}
