//! The phones of a set of words, as a trie.

use crate::grammar::lexicon::Word;
use crate::grammar::sounds::phones::Phone;

#[derive(Debug, Default)]
pub struct Node {
    pub next: Vec<(Phone, u32)>,
    /// The words that are whole here.
    pub words: Vec<Word>,
}

/// Every way to say each of a set of words; node 0 is before the first phone.
#[derive(Debug)]
pub struct Trie {
    pub nodes: Vec<Node>,
}

impl Trie {
    pub fn new() -> Trie {
        Trie {
            nodes: vec![Node::default()],
        }
    }

    pub fn insert(&mut self, phones: &[Phone], word: Word) {
        if phones.is_empty() {
            return;
        }
        let mut at = 0;
        for &phone in phones {
            let known = self.nodes[at].next.iter().find(|(known, _)| *known == phone);
            at = match known {
                Some(&(_, next)) => next as usize,
                None => {
                    let next = self.nodes.len();
                    self.nodes.push(Node::default());
                    self.nodes[at].next.push((phone, next as u32));
                    next
                }
            };
        }
        if !self.nodes[at].words.contains(&word) {
            self.nodes[at].words.push(word);
        }
    }
}
