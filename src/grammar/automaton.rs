//! The phrase automaton: a trie of every wording, shared by the text parser and the recogniser's search.

use std::collections::{BTreeMap, HashMap};

use super::fragment::Fragment;
use super::lexicon::Word;
use super::numbers::{Class, NumberTrie, Value};
use super::weight::Weight;

/// Node of the phrase trie; 0 is the root, where a fragment begins.
pub type Node = u32;

/// Number of a fragment.
pub type FragmentId = u32;

#[derive(Clone, Debug)]
struct Arcs {
    words: BTreeMap<Word, Node>,
    numbers: BTreeMap<Class, Node>,
    accepts: Vec<FragmentId>,
    /// Of the wording that ends here; [`Weight::NEVER`] if none does.
    weight: Weight,
    /// Of the likeliest wording that goes through here or ends here.
    likeliest: Weight,
}

impl Default for Arcs {
    fn default() -> Arcs {
        Arcs {
            words: BTreeMap::new(),
            numbers: BTreeMap::new(),
            accepts: Vec::new(),
            weight: Weight::NEVER,
            likeliest: Weight::NEVER,
        }
    }
}

/// Every wording as a path of words and numbers, ending in the fragment that it means.
#[derive(Clone, Debug)]
pub struct Automaton {
    nodes: Vec<Arcs>,
    fragments: Vec<Fragment>,
    numbers: HashMap<Class, NumberTrie>,
}

/// A fragment found in a text: which words it covers and the numbers said in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Match {
    pub fragment: FragmentId,
    pub end: usize,
    pub values: Vec<Value>,
}

/// One step of a wording: a word, or a number of a class.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    Word(Word),
    Number(Class),
}

impl Automaton {
    /// An automaton without wordings yet.
    pub fn new(numbers: HashMap<Class, NumberTrie>) -> Automaton {
        Automaton {
            nodes: vec![Arcs::default()],
            fragments: Vec::new(),
            numbers,
        }
    }

    /// Adds a meaning and returns its number.
    pub fn add_fragment(&mut self, fragment: Fragment) -> FragmentId {
        self.fragments.push(fragment);
        (self.fragments.len() - 1) as FragmentId
    }

    /// Adds a wording of a fragment; said for several, it is as likely as for the likeliest. Returns a fragment that it already stood for and that says something else of the
    /// same place, if there is one.
    pub fn add_wording(
        &mut self,
        steps: &[Step],
        fragment: FragmentId,
        weight: Weight,
    ) -> Option<FragmentId> {
        let mut at = 0usize;
        for step in steps {
            let known = match step {
                Step::Word(word) => self.nodes[at].words.get(word),
                Step::Number(class) => self.nodes[at].numbers.get(class),
            };
            at = match known {
                Some(&next) => next as usize,
                None => {
                    self.nodes.push(Arcs::default());
                    let next = self.nodes.len() - 1;
                    match step {
                        Step::Word(word) => self.nodes[at].words.insert(*word, next as Node),
                        Step::Number(class) => self.nodes[at].numbers.insert(*class, next as Node),
                    };
                    next
                }
            };
            self.nodes[at].likeliest = self.nodes[at].likeliest.max(weight);
        }
        self.nodes[at].weight = self.nodes[at].weight.max(weight);
        if !self.nodes[at].accepts.contains(&fragment) {
            self.nodes[at].accepts.push(fragment);
        }
        let new = &self.fragments[fragment as usize].fill;
        self.nodes[at].accepts.iter().copied().find(|&other| {
            let other = &self.fragments[other as usize].fill;
            other != new && other.slot() == new.slot()
        })
    }

    /// What a fragment means.
    pub fn fragment(&self, id: FragmentId) -> &Fragment {
        &self.fragments[id as usize]
    }

    /// Where `word` leads from `node`.
    pub fn next(&self, node: Node, word: Word) -> Option<Node> {
        self.nodes[node as usize].words.get(&word).copied()
    }

    /// The words that can follow `node`, and where they lead.
    pub fn arcs(&self, node: Node) -> impl Iterator<Item = (Word, Node)> + '_ {
        self.nodes[node as usize]
            .words
            .iter()
            .map(|(&word, &next)| (word, next))
    }

    /// The numbers that can follow `node`, and where they lead.
    pub fn number_arcs(&self, node: Node) -> impl Iterator<Item = (Class, Node)> + '_ {
        self.nodes[node as usize]
            .numbers
            .iter()
            .map(|(&class, &next)| (class, next))
    }

    /// The fragments whose wordings end at `node`.
    pub fn accepts(&self, node: Node) -> &[FragmentId] {
        &self.nodes[node as usize].accepts
    }

    /// The weight of the wording that ends at `node`; [`Weight::NEVER`] if none does.
    pub fn weight_at(&self, node: Node) -> Weight {
        self.nodes[node as usize].weight
    }

    /// What going on from `node` to `next`, the node after it, adds to the weight. All that a wording's steps add, and
    /// what [ending](Automaton::at_end) adds, is its weight; it is added as soon as the words tell it from others.
    pub fn gain(&self, node: Node, next: Node) -> Weight {
        self.likeliest(next) - self.likeliest(node)
    }

    /// What ending a wording at `node` adds to the weight: below 0 where a longer wording is likelier.
    pub fn at_end(&self, node: Node) -> Weight {
        self.weight_at(node) - self.likeliest(node)
    }

    /// At the root nothing has been said yet, and nothing weighs.
    fn likeliest(&self, node: Node) -> Weight {
        match node {
            0 => Weight::NONE,
            node => self.nodes[node as usize].likeliest,
        }
    }

    /// The wordings of numbers of a class.
    pub fn numbers(&self, class: Class) -> &NumberTrie {
        &self.numbers[&class]
    }

    /// How many nodes and fragments there are.
    pub fn size(&self) -> (usize, usize) {
        (self.nodes.len(), self.fragments.len())
    }

    /// Every fragment that begins at `words[start]`. `None` is a word that the grammar does not know.
    pub fn matches(&self, words: &[Option<Word>], start: usize) -> Vec<Match> {
        let mut found = Vec::new();
        self.walk(words, start, 0, &mut Vec::new(), &mut found);
        found
    }

    fn walk(
        &self,
        words: &[Option<Word>],
        at: usize,
        node: Node,
        values: &mut Vec<Value>,
        found: &mut Vec<Match>,
    ) {
        for &fragment in self.accepts(node) {
            found.push(Match {
                fragment,
                end: at,
                values: values.clone(),
            });
        }
        let Some(&Some(word)) = words.get(at) else { return };
        if let Some(next) = self.next(node, word) {
            self.walk(words, at + 1, next, values, found);
        }
        for (class, next) in self.number_arcs(node) {
            let trie = self.numbers(class);
            let (mut number_at, mut number_node) = (at, 0);
            while let Some(&Some(word)) = words.get(number_at) {
                let Some(deeper) = trie.next(number_node, word) else {
                    break;
                };
                (number_at, number_node) = (number_at + 1, deeper);
                if let Some(value) = trie.value(number_node) {
                    values.push(value);
                    self.walk(words, number_at, next, values, found);
                    values.pop();
                }
            }
        }
    }
}
