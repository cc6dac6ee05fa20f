//! Which of the utterances heard belong to which that were spoken.
//!
//! An utterance may be heard in pieces, and several may be heard as one. The alignment keeps the order of both and
//! looks at times and words only, never at what was understood, so that it cannot make a result look better.

use crate::hear::word_errors::words;

/// One utterance, spoken or heard.
#[derive(Clone, Debug)]
pub struct Span {
    /// Where it begins and ends, in seconds, if known.
    pub seconds: Option<(f64, f64)>,
    pub words: String,
}

/// Utterances spoken, as positions from `said.0` to before `said.1`, and those heard for them. Either may be empty; one
/// of them holds at most one utterance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Group {
    pub said: (usize, usize),
    pub heard: (usize, usize),
}

/// Most pieces of one utterance, and most utterances in one piece.
const MOST: usize = 8;
/// What it costs that an utterance has no counterpart, as a part of its length. Two of which a seventh or more of the
/// time is common belong together.
const ALONE: f64 = 0.75;

/// The cheapest alignment, every utterance of both sides in exactly one group. A group costs the seconds that are not
/// common to both sides; if a time is not known, all groups cost the letters in which the words differ.
pub fn align(said: &[Span], heard: &[Span]) -> Vec<Group> {
    let timed = said.iter().chain(heard).all(|span| span.seconds.is_some());
    let width = heard.len() + 1;
    // The cheapest way up to each pair of positions, and the step that led there.
    let mut best = vec![(f64::INFINITY, (0, 0)); (said.len() + 1) * width];
    best[0].0 = 0.0;
    for at in 0..=said.len() {
        for to in 0..=heard.len() {
            let so_far = best[at * width + to].0;
            for (more_said, more_heard) in steps(said.len() - at, heard.len() - to) {
                let (ours, theirs) = (&said[at..at + more_said], &heard[to..to + more_heard]);
                let cost = if timed {
                    seconds_apart(ours, theirs)
                } else {
                    letters_apart(ours, theirs)
                };
                let next = &mut best[(at + more_said) * width + to + more_heard];
                if so_far + cost < next.0 {
                    *next = (so_far + cost, (more_said, more_heard));
                }
            }
        }
    }
    let mut groups = Vec::new();
    let (mut at, mut to) = (said.len(), heard.len());
    while at + to > 0 {
        let (more_said, more_heard) = best[at * width + to].1;
        groups.push(Group {
            said: (at - more_said, at),
            heard: (to - more_heard, to),
        });
        (at, to) = (at - more_said, to - more_heard);
    }
    groups.reverse();
    groups
}

/// How many utterances the next group may take of each side.
fn steps(said: usize, heard: usize) -> impl Iterator<Item = (usize, usize)> {
    let pieces = (1..=MOST).map(|pieces| (1, pieces));
    let together = (2..=MOST).map(|together| (together, 1));
    [(1, 0), (0, 1)]
        .into_iter()
        .chain(pieces)
        .chain(together)
        .filter(move |step| step.0 <= said && step.1 <= heard)
}

/// Seconds that are not common to both sides. Pauses between the utterances of a side count as its own.
fn seconds_apart(said: &[Span], heard: &[Span]) -> f64 {
    match (whole(said), whole(heard)) {
        (Some(said), Some(heard)) => {
            let common = (said.1.min(heard.1) - said.0.max(heard.0)).max(0.0);
            said.1.max(heard.1) - said.0.min(heard.0) - common
        }
        (Some(alone), None) | (None, Some(alone)) => (alone.1 - alone.0) * ALONE,
        (None, None) => 0.0,
    }
}

/// Letters in which the words of both sides differ.
fn letters_apart(said: &[Span], heard: &[Span]) -> f64 {
    let letters = |spans: &[Span]| -> String { spans.iter().flat_map(|span| words(&span.words)).collect() };
    let distance = strsim::levenshtein(&letters(said), &letters(heard)) as f64;
    if said.is_empty() || heard.is_empty() {
        distance * ALONE
    } else {
        distance
    }
}

/// From the beginning of the first to the end of the last.
fn whole(spans: &[Span]) -> Option<(f64, f64)> {
    Some((spans.first()?.seconds?.0, spans.last()?.seconds?.1))
}
