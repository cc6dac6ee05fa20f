//! How large the grammar is in memory.

use std::collections::BTreeSet;
use std::mem::{size_of, size_of_val};

use super::Grammar;
use super::automaton::{FragmentId, Node};
use super::fragment::{Fill, Fragment};
use super::lexicon::Word;
use super::numbers::{Class, NumberNode, Value};
use super::weight::Weight;

/// What there is of what.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Size {
    /// Nodes of the trie of wordings.
    pub states: usize,
    /// Arcs between them: words and numbers.
    pub arcs: usize,
    /// Wordings, a number counted as one word.
    pub wordings: usize,
    /// Different meanings.
    pub fragments: usize,
    /// Nodes of the tries of spoken numbers.
    pub number_states: usize,
    /// Different words.
    pub words: usize,
    /// Bytes in memory, estimated: what the structures hold, tree nodes counted as the standard library lays them
    /// out, without what the allocator adds.
    pub bytes: usize,
}

/// Counts and estimates.
pub fn size(grammar: &Grammar) -> Size {
    let automaton = &grammar.automaton;
    let (states, fragments) = automaton.size();
    let (mut arcs, mut wordings, mut bytes) = (0, 0, 0);
    for node in 0..states as Node {
        let (words, numbers) = (automaton.arcs(node).count(), automaton.number_arcs(node).count());
        arcs += words + numbers;
        wordings += automaton.accepts(node).len();
        bytes += tree(words, size_of::<(Word, Node)>()) + tree(numbers, size_of::<(Class, Node)>());
        // Two trees and a list, each with its own head, and two weights.
        bytes += 3 * 3 * size_of::<usize>() + size_of_val(automaton.accepts(node)) + 2 * size_of::<Weight>();
    }
    bytes += fragments * size_of::<Fragment>();
    for number in 0..fragments as FragmentId {
        bytes += match &automaton.fragment(number).fill {
            Fill::Movement(candidates) => candidates.len() * size_of::<(usize, usize)>(),
            Fill::Muscle { candidates, .. } | Fill::Test(candidates) => candidates.len() * size_of::<usize>(),
            _ => 0,
        };
    }
    bytes += grammar
        .names
        .iter()
        .map(|name| 2 * name.len() + size_of::<String>())
        .sum::<usize>();
    let mut number_states = 0;
    for class in Class::ALL {
        let trie = automaton.numbers(class);
        let mut open: Vec<NumberNode> = vec![0];
        let mut met = BTreeSet::from([0]);
        while let Some(node) = open.pop() {
            let next: Vec<NumberNode> = trie.arcs(node).map(|(_, next)| next).collect();
            bytes += tree(next.len(), size_of::<(Word, NumberNode)>());
            bytes += 3 * size_of::<usize>() + size_of::<Option<Value>>();
            open.extend(next.into_iter().filter(|&next| met.insert(next)));
        }
        number_states += met.len();
    }
    // Each word is kept twice: by its number, and to find its number.
    for word in 0..grammar.lexicon.len() as Word {
        bytes += 2 * (grammar.lexicon.word(word).len() + size_of::<String>()) + size_of::<(Word, u64)>();
    }
    Size {
        states,
        arcs,
        wordings,
        fragments,
        number_states,
        words: grammar.lexicon.len(),
        bytes,
    }
}

/// Bytes of a tree with this many entries: its leaves have room for 11 each, and are two thirds full once there are
/// several.
fn tree(entries: usize, entry: usize) -> usize {
    const ROOM: usize = 11;
    const USUAL: usize = 7;
    let leaves = match entries {
        0 => 0,
        1..=ROOM => 1,
        more => more.div_ceil(USUAL),
    };
    leaves * (ROOM * entry + 2 * size_of::<usize>())
}
