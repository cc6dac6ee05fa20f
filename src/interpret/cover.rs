//! Words → fragments: the cheapest way to cover an utterance with the grammar's wordings.

use crate::grammar::Grammar;
use crate::grammar::automaton::FragmentId;
use crate::grammar::fragment::{Fill, Slot};
use crate::grammar::lexicon::Word;
use crate::grammar::numbers::Value;

/// A stretch of words and what it means; `fill` is `None` for a word that the grammar does not know here.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    pub fill: Option<Fill>,
    /// What the same words can mean as well.
    pub or: Vec<Fill>,
    /// It belongs to what was said before it.
    pub after: bool,
    /// After a sign it is where the sign was, not how far the movement went, and is kept in these words.
    pub place: Option<String>,
    pub values: Vec<Value>,
    /// A comma or another mark stands before it, if the words were written.
    pub marked: bool,
    /// First word and the one after the last, within the utterance.
    pub span: (usize, usize),
}

impl Part {
    /// The place that it fills.
    pub fn slot(&self) -> Slot {
        self.fill.as_ref().map_or(Slot::None, Fill::slot)
    }
}

// Fewer, longer fragments beat many short ones; a filler costs less than a fragment, so that it never swallows one;
// a word unknown costs more than any fragments could.
const FRAGMENT: u32 = 10;
const FILLER: u32 = 3;
// What people also say to each other steers only where nothing else can be meant.
const EVERYDAY: u32 = 15;
const UNKNOWN: u32 = 1000;

/// The cheapest cover, in order.
pub fn cover(grammar: &Grammar, words: &[String]) -> Vec<Part> {
    let numbers: Vec<_> = words.iter().map(|word| grammar.lexicon.number(word)).collect();
    let begins = grammar.cue_in(words);
    let mut best: Vec<Option<(u32, usize, Part)>> = vec![None; words.len() + 1];
    for start in 0..words.len() {
        let so_far = match start {
            0 => 0,
            _ => match &best[start] {
                Some((cost, ..)) => *cost,
                None => continue,
            },
        };
        let unknown = Part {
            fill: None,
            or: Vec::new(),
            after: false,
            place: None,
            values: Vec::new(),
            marked: false,
            span: (start, start + 1),
        };
        relax(&mut best, so_far + UNKNOWN, start, unknown);
        for found in grammar.automaton.matches(&numbers, start) {
            if grammar.automaton.fragment(found.fragment).with_result
                && !has_result(grammar, &numbers, found.end)
            {
                continue;
            }
            let part = part(grammar, found.fragment, found.values, (start, found.end));
            let whole = start == begins && found.end == words.len();
            let cost = match part.fill {
                Some(Fill::Cue) if start != 0 => continue,
                Some(Fill::Filler { .. } | Fill::Cue) => FILLER,
                Some(Fill::Control { opens: false, .. }) if !whole => continue,
                Some(Fill::Note) if start != begins => continue,
                Some(Fill::Control { everyday: true, .. }) => EVERYDAY,
                _ => FRAGMENT,
            };
            relax(&mut best, so_far + cost, start, part);
        }
    }
    let mut parts = Vec::new();
    let mut at = words.len();
    while at > 0 {
        let Some((_, start, part)) = best[at].take() else {
            break;
        };
        parts.push(part);
        at = start;
    }
    parts.reverse();
    parts
}

/// The highest grade of strength.
const MOST_GRADE: i32 = 5;

/// What was found by a test or in a muscle is said from here on.
fn has_result(grammar: &Grammar, numbers: &[Option<Word>], from: usize) -> bool {
    let mut next = grammar.automaton.matches(numbers, from).into_iter();
    next.any(|found| match &grammar.automaton.fragment(found.fragment).fill {
        Fill::Number => found.values.iter().all(|value| value.number <= MOST_GRADE),
        fill => matches!(fill.slot(), Slot::Result | Slot::Strength | Slot::Power),
    })
}

fn part(grammar: &Grammar, fragment: FragmentId, values: Vec<Value>, span: (usize, usize)) -> Part {
    let fragment = grammar.automaton.fragment(fragment);
    Part {
        fill: Some(fragment.fill.clone()),
        or: Vec::new(),
        after: fragment.after,
        place: fragment.place.clone(),
        values,
        marked: false,
        span,
    }
}

fn relax(best: &mut [Option<(u32, usize, Part)>], cost: u32, start: usize, part: Part) {
    let end = part.span.1;
    match &mut best[end] {
        // The same words with another meaning.
        Some((known, from, other)) if *known == cost && *from == start => other.or.extend(part.fill),
        Some((known, ..)) if *known <= cost => {}
        place => *place = Some((cost, start, part)),
    }
}
