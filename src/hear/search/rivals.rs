//! What the best sentence might be instead: sentences that differ from it in one word, scored too, so that it is known how
//! close they come.

use super::path::Path;
use super::spelling::{Position, Spelling};
use super::{Effort, Goal, NO_RIVAL, find};
use crate::hear::engine::{Engine, EngineError, Token};

/// A word that the model would rather have written than this, in nats, is worth a look.
const NEARLY: f32 = -2.5;
/// Words looked at so, the likeliest first.
const MOST_NEARLY: usize = 3;

/// Adds to what was `found` the rivals of the best sentence: declared ones, whose words sound like its own, however
/// unlikely they looked on the way, and those for one of whose words the model nearly decided.
pub(super) fn add(
    engine: &mut Engine,
    spelling: &mut Spelling,
    effort: Effort,
    best: &Path,
    found: &mut Vec<Path>,
) -> Result<(), EngineError> {
    let before = found.len();
    let mut rivals = spelling.sound_alikes(&engine.words(&best.tokens));
    rivals.extend(nearly_written(engine, spelling, best)?);
    for letters in rivals {
        if found.iter().any(|known| known.letters == letters) {
            continue;
        }
        let goal = Goal {
            letters: &letters,
            best: Some(best),
            least: best.score - NO_RIVAL,
        };
        let steps = 2 * best.tokens.len() + 4;
        found.extend(find(engine, spelling, only_one(effort, steps), Some(goal))?);
    }
    // The rival was spelt as well as it can be. To be fair, so is the best.
    if found.len() > before {
        let goal = Goal {
            letters: &best.letters,
            best: Some(best),
            least: best.score,
        };
        let better = find(engine, spelling, only_one(effort, best.tokens.len()), Some(goal))?;
        found.retain(|known| better.is_empty() || known.letters != best.letters);
        found.extend(better);
    }
    Ok(())
}

fn only_one(effort: Effort, steps: usize) -> Effort {
    Effort {
        steps,
        sentences: 1,
        ..effort
    }
}

/// The letters of the sentence with one word exchanged for one that the model would nearly as soon have written there, as
/// the grammar allows it.
fn nearly_written(
    engine: &mut Engine,
    spelling: &mut Spelling,
    best: &Path,
) -> Result<Vec<String>, EngineError> {
    let mut position = spelling.start();
    let mut others: Vec<(f32, String)> = Vec::new();
    for (at, &token) in best.tokens.iter().enumerate() {
        let (ways, _) = spelling.ways(position);
        let is_word = begins_word(engine, token)
            && best
                .tokens
                .get(at + 1)
                .is_none_or(|&next| begins_word(engine, next));
        if is_word {
            let words: Vec<Token> = ways
                .iter()
                .map(|way| way.0)
                .filter(|&other| begins_word(engine, other) && spelling.is_word(other))
                .collect();
            let (from, to) = (
                at.checked_sub(1).map_or(0, |at| best.trail[at].0),
                best.trail[at].0,
            );
            let scores = engine.scores(&best.tokens[..at])?;
            for other in words {
                let behind = scores[other as usize] - scores[token as usize];
                let letters = spelling.letters(other);
                if behind >= NEARLY && *letters != best.letters[from..to] {
                    let sentence = [&best.letters[..from], letters, &best.letters[to..]].concat();
                    others.push((behind, sentence));
                }
            }
        }
        match next(&ways, token) {
            Some(next) => position = next,
            None => break,
        }
    }
    others.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
    others.dedup_by(|a, b| a.1 == b.1);
    Ok(others
        .into_iter()
        .map(|(_, letters)| letters)
        .take(MOST_NEARLY)
        .collect())
}

/// Where a token leads.
fn next(ways: &[super::spelling::Way], token: Token) -> Option<Position> {
    ways.iter().find(|way| way.0 == token).map(|way| way.1)
}

fn begins_word(engine: &Engine, token: Token) -> bool {
    engine.vocabulary().bytes(token).first() == Some(&b' ')
}
