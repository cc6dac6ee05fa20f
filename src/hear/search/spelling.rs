//! The grammar as the model spells it: which tokens may follow, letter by letter.
//!
//! A word may be written in capitals or small letters and in any way that tokens can spell it; between words a comma,
//! a full stop or a hyphen is allowed, because Whisper likes to write them.

use std::collections::HashMap;
use std::sync::Arc;

use crate::grammar::Grammar;
use crate::grammar::lexicon::Word;
use crate::grammar::phrase_state::{StateId, States};
use crate::hear::engine::{Token, Vocabulary};

/// Where a spelling stands: in the letters of the words that may follow a state of the grammar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Position {
    trie: u32,
    node: u32,
}

/// What may follow a position.
#[derive(Clone, Debug, Default)]
pub struct Ways {
    /// Each token that may follow, and where it leads.
    pub tokens: Vec<(Token, Position)>,
    /// The utterance may end here.
    pub end: bool,
}

/// How the next word may be joined to what is written already.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Join {
    /// After a space.
    Space,
    /// After a space; a comma or full stop has just been written.
    Paused,
    /// Letters may follow at once: a hyphen has just been written.
    Hyphen,
    /// Anything may follow at once: a sign such as `-` has just been written.
    Sign,
}

/// How a token is written. Others, such as `tHE`, are never what the model writes unless it is bent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Case {
    Small,
    /// A capital first, or nothing but capitals in a short word.
    Capital,
}

impl Case {
    fn of(bytes: &[u8]) -> Option<Case> {
        let letters: Vec<u8> = bytes.iter().copied().filter(u8::is_ascii_alphabetic).collect();
        let capitals = letters
            .iter()
            .filter(|letter| letter.is_ascii_uppercase())
            .count();
        match capitals {
            _ if bytes.is_empty() => None,
            0 => Some(Case::Small),
            1 if letters[0].is_ascii_uppercase() => Some(Case::Capital),
            all if all == letters.len() && all <= 3 => Some(Case::Capital),
            _ => None,
        }
    }
}

#[derive(Debug, Default)]
struct Node {
    letters: Vec<(u8, u32)>,
    /// The word is whole here: the state that it leads to and how the next word joins.
    whole: Option<(StateId, Join)>,
}

/// The letters of the words that may follow a state.
struct Trie {
    state: StateId,
    nodes: Vec<Node>,
}

/// The spelling of one grammar in one model's tokens, worked out as it is needed and kept.
pub struct Spelling {
    grammar: Arc<Grammar>,
    states: States,
    /// Text tokens by their bytes in small letters.
    tokens: HashMap<Vec<u8>, Vec<(Token, Case)>>,
    longest: usize,
    /// The letters of each text token.
    letters: Vec<String>,
    signs: HashMap<Word, Vec<String>>,
    tries: Vec<Trie>,
    trie_of: HashMap<(StateId, Join), u32>,
    ways: HashMap<Position, Ways>,
}

impl Spelling {
    /// The spelling of `grammar` in `vocabulary`.
    pub fn new(grammar: Arc<Grammar>, vocabulary: &Vocabulary) -> Spelling {
        let mut tokens: HashMap<Vec<u8>, Vec<(Token, Case)>> = HashMap::new();
        for (token, bytes) in vocabulary.text_tokens() {
            if let Some(case) = Case::of(bytes) {
                tokens
                    .entry(bytes.to_ascii_lowercase())
                    .or_default()
                    .push((token, case));
            }
        }
        let mut signs: HashMap<Word, Vec<String>> = HashMap::new();
        for spelling in &grammar.spellings {
            signs
                .entry(spelling.word)
                .or_default()
                .push(spelling.written.clone());
        }
        Spelling {
            states: States::new(grammar.clone()),
            grammar,
            longest: tokens.keys().map(Vec::len).max().unwrap_or(0),
            tokens,
            letters: vocabulary
                .text_tokens()
                .map(|(_, bytes)| super::letters_in(bytes))
                .collect(),
            signs,
            tries: Vec::new(),
            trie_of: HashMap::new(),
            ways: HashMap::new(),
        }
    }

    /// Works out what every utterance needs: its beginning, and what may follow each first word.
    pub fn warm(&mut self) {
        let start = self.start();
        let first: Vec<Position> = self.ways(start).tokens.iter().map(|&(_, to)| to).collect();
        for position in first {
            self.ways(position);
        }
    }

    /// The letters, digits and signs of a text token, small.
    pub fn letters(&self, token: Token) -> &str {
        self.letters.get(token as usize).map_or("", String::as_str)
    }

    /// The letters of every sentence that differs from `text` in one word that sounds like another.
    pub fn sound_alikes(&self, text: &str) -> Vec<String> {
        let words: Vec<String> = text.split_whitespace().map(super::letters_of).collect();
        let mut others = Vec::new();
        for (at, word) in words.iter().enumerate() {
            for group in self.grammar.alike.iter().filter(|group| group.contains(word)) {
                for other in group.iter().filter(|other| *other != word) {
                    let mut swapped = words.clone();
                    swapped[at] = other.clone();
                    others.push(swapped.concat());
                }
            }
        }
        others
    }

    /// Where an utterance begins.
    pub fn start(&mut self) -> Position {
        Position {
            trie: self.trie(States::START, Join::Space),
            node: 0,
        }
    }

    /// What may follow `position`.
    pub fn ways(&mut self, position: Position) -> &Ways {
        if !self.ways.contains_key(&position) {
            let ways = self.work_out(position);
            self.ways.insert(position, ways);
        }
        &self.ways[&position]
    }

    fn work_out(&mut self, position: Position) -> Ways {
        let mut ways = Ways::default();
        self.spell(position, position.node == 0, &mut Vec::new(), &mut ways);
        if position.node == 0 {
            let state = self.tries[position.trie as usize].state;
            ways.end = self.states.expand(state).complete;
            return ways;
        }
        let Some((state, join)) = self.tries[position.trie as usize].nodes[position.node as usize].whole
        else {
            return ways;
        };
        ways.end = self.states.expand(state).complete;
        let trie = self.trie(state, join);
        self.spell(Position { trie, node: 0 }, true, &mut Vec::new(), &mut ways);
        for (mark, join) in [(",", Join::Paused), (".", Join::Paused), ("-", Join::Hyphen)] {
            let after = Position {
                trie: self.trie(state, join),
                node: 0,
            };
            let tokens = self.tokens.get(mark.as_bytes()).into_iter().flatten();
            ways.tokens.extend(tokens.map(|&(token, _)| (token, after)));
        }
        ways
    }

    /// Adds every token that spells on from `position`. `begins`: at the beginning of a word, where a capital is
    /// allowed.
    fn spell(&self, position: Position, begins: bool, spelt: &mut Vec<u8>, ways: &mut Ways) {
        for &(letter, node) in &self.tries[position.trie as usize].nodes[position.node as usize].letters {
            if spelt.len() == self.longest {
                continue;
            }
            spelt.push(letter);
            let next = Position {
                trie: position.trie,
                node,
            };
            for (token, case) in self.tokens.get(spelt.as_slice()).into_iter().flatten() {
                if *case == Case::Small || (begins && *case == Case::Capital) {
                    ways.tokens.push((*token, next));
                }
            }
            self.spell(next, begins, spelt, ways);
            spelt.pop();
        }
    }

    /// The trie of a state, made when it is first asked for.
    fn trie(&mut self, state: StateId, join: Join) -> u32 {
        if let Some(&trie) = self.trie_of.get(&(state, join)) {
            return trie;
        }
        let words = self.states.expand(state).next.clone();
        let mut trie = Trie {
            state,
            nodes: vec![Node::default()],
        };
        for (word, to) in words {
            let written = self.grammar.lexicon.word(word);
            trie.insert(&format!(" {written}"), (to, Join::Space));
            let joined = match join {
                Join::Space | Join::Paused => false,
                Join::Hyphen => written.starts_with(|c: char| c.is_alphabetic()),
                Join::Sign => true,
            };
            if joined {
                trie.insert(written, (to, Join::Space));
            }
            for sign in self.signs.get(&word).into_iter().flatten() {
                trie.insert(&format!(" {sign}"), (to, Join::Sign));
                trie.insert(sign, (to, Join::Space));
            }
        }
        let number = self.tries.len() as u32;
        self.tries.push(trie);
        self.trie_of.insert((state, join), number);
        number
    }
}

impl Trie {
    fn insert(&mut self, written: &str, whole: (StateId, Join)) {
        let mut at = 0u32;
        for byte in written.bytes() {
            let known = self.nodes[at as usize]
                .letters
                .iter()
                .find(|(letter, _)| *letter == byte);
            at = match known {
                Some(&(_, next)) => next,
                None => {
                    let next = self.nodes.len() as u32;
                    self.nodes.push(Node::default());
                    self.nodes[at as usize].letters.push((byte, next));
                    next
                }
            };
        }
        self.nodes[at as usize].whole.get_or_insert(whole);
    }
}
