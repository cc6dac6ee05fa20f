//! The grammar as the model spells it: which tokens may follow, letter by letter.
//!
//! A word may be written in capitals or small letters and in any way that tokens can spell it; between words a comma,
//! a full stop or a hyphen is allowed, because Whisper likes to write them.

use std::collections::HashMap;
use std::sync::Arc;

use crate::grammar::Grammar;
use crate::grammar::lexicon::Word;
use crate::grammar::phrase_state::{ShapeId, StateId, States};
use crate::grammar::weight::Weight;
use crate::hear::engine::{Token, Vocabulary};

/// Where a spelling stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Position {
    /// The state of the grammar after the last whole word.
    state: StateId,
    join: Join,
    /// How far into the letters of the next word; 0 before it.
    node: u32,
}

impl Position {
    /// Before the first word.
    pub const START: Position = Position {
        state: States::START,
        join: Join::Space,
        node: 0,
    };
}

/// A token that may follow, where it leads, and what it adds to the weight.
pub(super) type Way = (Token, Position, Weight);

/// How the next word may be joined to what is written already.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Join {
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
    /// The word that is whole here, and how the next one joins.
    whole: Option<(Word, Join)>,
    /// Each token that goes on from here, and how far; worked out when first asked for.
    ways: Option<Vec<(Token, u32)>>,
}

/// The letters of the words that may follow a state.
struct Trie {
    nodes: Vec<Node>,
}

/// States and letters that are kept from one search to the next: the letters of all words that may follow are thousands.
/// Some tens of megabytes; working them out again costs a few milliseconds an utterance.
const MOST_STATES: usize = 10_000;
const MOST_LETTERS: usize = 1_000_000;

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
    trie_of: HashMap<(ShapeId, Join), usize>,
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
        }
    }

    /// The letters, digits and signs of a text token, small.
    pub fn letters(&self, token: Token) -> &str {
        self.letters.get(token as usize).map_or("", String::as_str)
    }

    /// Whether the token is a whole word of the grammar.
    pub fn is_word(&self, token: Token) -> bool {
        self.grammar.lexicon.number(self.letters(token)).is_some()
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

    /// Two texts are the same spoken words.
    pub fn says_the_same(&self, one: &str, other: &str) -> bool {
        self.grammar.words(one) == self.grammar.words(other)
    }

    /// Where an utterance begins. What was worked out for the ones before is kept, unless it has grown large.
    pub fn start(&mut self) -> Position {
        let letters: usize = self.tries.iter().map(|trie| trie.nodes.len()).sum();
        if self.states.len() > MOST_STATES || letters > MOST_LETTERS {
            self.states = States::new(self.grammar.clone());
            self.tries.clear();
            self.trie_of.clear();
        }
        Position::START
    }

    /// The tokens that may follow `position`, with where they lead, and the end, if the utterance may end here; each with
    /// what it adds to the weight of the wordings.
    pub fn ways(&mut self, position: Position) -> (Vec<Way>, Option<Weight>) {
        let mut tokens = Vec::new();
        let trie = self.going_on(position, Weight::NONE, &mut tokens);
        if position.node == 0 {
            return (tokens, self.states.end(position.state));
        }
        let Some((word, join)) = self.tries[trie].nodes[position.node as usize].whole else {
            return (tokens, None);
        };
        let Some((state, gain)) = self.states.step(position.state, word) else {
            return (tokens, None);
        };
        self.going_on(Position { state, join, node: 0 }, gain, &mut tokens);
        for (mark, join) in [(",", Join::Paused), (".", Join::Paused), ("-", Join::Hyphen)] {
            let marks = self.tokens.get(mark.as_bytes()).into_iter().flatten();
            tokens.extend(marks.map(|&(token, _)| (token, Position { state, join, node: 0 }, gain)));
        }
        (tokens, self.states.end(state).map(|end| gain + end))
    }

    /// Adds the tokens that go on in the letters of the next word, after words that added `gain` to the weight; returns
    /// its trie.
    fn going_on(
        &mut self,
        position: Position,
        gain: Weight,
        tokens: &mut Vec<(Token, Position, Weight)>,
    ) -> usize {
        let trie = self.trie(position.state, position.join);
        if self.tries[trie].nodes[position.node as usize].ways.is_none() {
            let mut ways = Vec::new();
            self.spell(
                &self.tries[trie],
                position.node,
                position.node == 0,
                &mut Vec::new(),
                &mut ways,
            );
            self.tries[trie].nodes[position.node as usize].ways = Some(ways);
        }
        let ways = self.tries[trie].nodes[position.node as usize]
            .ways
            .iter()
            .flatten();
        tokens.extend(ways.map(|&(token, node)| (token, Position { node, ..position }, gain)));
        trie
    }

    /// Adds every token that spells on from a node of a trie. `begins`: at the beginning of a word, where a capital
    /// is allowed.
    fn spell(&self, trie: &Trie, from: u32, begins: bool, spelt: &mut Vec<u8>, ways: &mut Vec<(Token, u32)>) {
        if spelt.len() == self.longest {
            return;
        }
        for &(letter, node) in &trie.nodes[from as usize].letters {
            spelt.push(letter);
            for (token, case) in self.tokens.get(spelt.as_slice()).into_iter().flatten() {
                if *case == Case::Small || (begins && *case == Case::Capital) {
                    ways.push((*token, node));
                }
            }
            self.spell(trie, node, begins, spelt, ways);
            spelt.pop();
        }
    }

    /// The letters of the words that may follow a state, made when they are first asked for.
    fn trie(&mut self, state: StateId, join: Join) -> usize {
        let shape = self.states.shape(state);
        if let Some(&trie) = self.trie_of.get(&(shape, join)) {
            return trie;
        }
        let mut trie = Trie {
            nodes: vec![Node::default()],
        };
        for &word in self.states.words(shape) {
            let written = self.grammar.lexicon.word(word);
            trie.insert(&format!(" {written}"), (word, Join::Space));
            let joined = match join {
                Join::Space | Join::Paused => false,
                Join::Hyphen => written.starts_with(|c: char| c.is_alphabetic()),
                Join::Sign => true,
            };
            if joined {
                trie.insert(written, (word, Join::Space));
            }
            for sign in self.signs.get(&word).into_iter().flatten() {
                trie.insert(&format!(" {sign}"), (word, Join::Sign));
                trie.insert(sign, (word, Join::Space));
            }
        }
        self.tries.push(trie);
        self.trie_of.insert((shape, join), self.tries.len() - 1);
        self.tries.len() - 1
    }
}

impl Trie {
    fn insert(&mut self, written: &str, whole: (Word, Join)) {
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
