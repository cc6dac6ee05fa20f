//! Numbers as they are spoken: every wording of a value, as a trie of words.
//!
//! `one hundred and ten`, `one ten`, `a hundred and ten`, `one one zero` and `110` are all 110; `forty five`,
//! `four five` and `45` are 45; `four plus` is the grade 4+.

use std::collections::{BTreeMap, HashMap};

use super::file::NumberWords;
use super::lexicon::{Lexicon, Word};

/// Largest number that is understood; a full turn, in degrees.
pub const LARGEST: i32 = 360;
/// Most negative number that is understood, in degrees.
pub const SMALLEST: i32 = -180;
/// Farthest from its landmark that a limb is measured around, in centimetres: longer than any thigh.
pub const HIGHEST: i32 = 50;

/// Which numbers a wording takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Class {
    /// −180 to 360.
    Degrees,
    /// 0 to 10.
    Score,
    /// 1 to 50: centimetres along a limb.
    Height,
    /// 0 to 5, with or without plus or minus.
    Grade,
    /// A grade that has its plus or minus.
    GradeSign,
}

impl Class {
    /// The class with this name in a grammar file.
    pub fn named(name: &str) -> Option<Class> {
        Class::ALL.into_iter().find(|class| class.name() == name)
    }

    /// Every class.
    pub const ALL: [Class; 5] = [
        Class::Degrees,
        Class::Score,
        Class::Height,
        Class::Grade,
        Class::GradeSign,
    ];

    /// Its name in a grammar file.
    pub fn name(self) -> &'static str {
        match self {
            Class::Degrees => "degrees",
            Class::Score => "score",
            Class::Height => "height",
            Class::Grade => "grade",
            Class::GradeSign => "grade_sign",
        }
    }

    /// The names a grammar file may use.
    pub const NAMES: &str = "`{degrees}`, `{score}`, `{height}`, `{grade}`, `{grade_sign}`";
}

/// A spoken value: a number, and the sign of a grade (1 plus, −1 minus, 0 neither).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Value {
    pub number: i32,
    pub sign: i8,
}

/// Node of a number trie; 0 is the root.
pub type NumberNode = u32;

#[derive(Clone, Debug, Default)]
struct Node {
    arcs: BTreeMap<Word, NumberNode>,
    value: Option<Value>,
}

/// The trie of one class.
#[derive(Clone, Debug)]
pub struct NumberTrie {
    nodes: Vec<Node>,
}

impl NumberTrie {
    fn new(phrases: &[(Vec<String>, Value)], lexicon: &mut Lexicon) -> NumberTrie {
        let mut trie = NumberTrie {
            nodes: vec![Node::default()],
        };
        for (words, value) in phrases {
            let mut at = 0;
            for word in words {
                let word = lexicon.add(word);
                at = match trie.nodes[at as usize].arcs.get(&word) {
                    Some(&next) => next,
                    None => {
                        trie.nodes.push(Node::default());
                        let next = (trie.nodes.len() - 1) as NumberNode;
                        trie.nodes[at as usize].arcs.insert(word, next);
                        next
                    }
                };
            }
            // Two wordings never give one phrase two values: the earlier rule is the commoner reading.
            trie.nodes[at as usize].value.get_or_insert(*value);
        }
        trie
    }

    /// Where `word` leads from `node`.
    pub fn next(&self, node: NumberNode, word: Word) -> Option<NumberNode> {
        self.nodes[node as usize].arcs.get(&word).copied()
    }

    /// The words that can follow, and where they lead.
    pub fn arcs(&self, node: NumberNode) -> impl Iterator<Item = (Word, NumberNode)> + '_ {
        self.nodes[node as usize]
            .arcs
            .iter()
            .map(|(&word, &next)| (word, next))
    }

    /// The value of the words that lead here, if they are a whole number.
    pub fn value(&self, node: NumberNode) -> Option<Value> {
        self.nodes[node as usize].value
    }

    /// Whether more words can follow some wording of this number and make another of it.
    pub fn goes_on(&self, value: Value) -> bool {
        self.nodes
            .iter()
            .any(|node| node.value == Some(value) && !node.arcs.is_empty())
    }

    /// Every wording of such words as `may` be said, with its value.
    pub fn wordings(&self, may: impl Fn(Word) -> bool) -> Vec<(Vec<Word>, Value)> {
        let mut wordings = Vec::new();
        let mut open: Vec<(NumberNode, Vec<Word>)> = vec![(0, Vec::new())];
        while let Some((node, words)) = open.pop() {
            wordings.extend(self.value(node).map(|value| (words.clone(), value)));
            let arcs = self.arcs(node).filter(|&(word, _)| may(word));
            open.extend(arcs.map(|(word, next)| (next, [&words[..], &[word]].concat())));
        }
        wordings
    }
}

/// The tries of all classes.
pub fn tries(words: &NumberWords, lexicon: &mut Lexicon) -> HashMap<Class, NumberTrie> {
    let plain: Vec<(Vec<String>, i32)> = (0..=LARGEST)
        .flat_map(|n| wordings(words, n).into_iter().map(move |w| (w, n)))
        .collect();
    let value = |number, sign| Value { number, sign };
    let mut degrees: Vec<(Vec<String>, Value)> = Vec::new();
    let mut score = Vec::new();
    let mut height = Vec::new();
    let mut grade = Vec::new();
    let mut grade_sign = Vec::new();
    for (phrase, n) in &plain {
        degrees.push((phrase.clone(), value(*n, 0)));
        if -n >= SMALLEST {
            for minus in &words.minus {
                degrees.push(([vec![minus.clone()], phrase.clone()].concat(), value(-n, 0)));
            }
        }
        if *n <= 10 {
            score.push((phrase.clone(), value(*n, 0)));
        }
        if (1..=HIGHEST).contains(n) {
            height.push((phrase.clone(), value(*n, 0)));
        }
        if *n <= 5 {
            grade.push((phrase.clone(), value(*n, 0)));
            let signs = words
                .plus
                .iter()
                .map(|w| (w, 1))
                .chain(words.grade_minus.iter().map(|w| (w, -1)));
            for (sign_word, sign) in signs {
                // The scale has 1+ to 4+ and 2- to 5-.
                if (sign == 1 && (1..=4).contains(n)) || (sign == -1 && (2..=5).contains(n)) {
                    grade_sign.push((
                        [phrase.clone(), vec![sign_word.clone()]].concat(),
                        value(*n, sign),
                    ));
                }
            }
        }
    }
    grade.extend(grade_sign.iter().cloned());
    [
        (Class::Degrees, degrees),
        (Class::Score, score),
        (Class::Height, height),
        (Class::Grade, grade),
        (Class::GradeSign, grade_sign),
    ]
    .into_iter()
    .map(|(class, phrases)| (class, NumberTrie::new(&phrases, lexicon)))
    .collect()
}

/// Every wording of `n`, 0 to 360, the usual ones first.
fn wordings(words: &NumberWords, n: i32) -> Vec<Vec<String>> {
    let mut all = vec![vec![n.to_string()]];
    let units = |n: i32| named(&words.units, n);
    if n < 100 {
        all.extend(below_hundred(words, n));
    } else {
        let (hundreds, rest) = (n / 100, n % 100);
        let mut heads: Vec<Vec<String>> = Vec::new();
        for hundred in &words.hundred {
            let names = if hundreds == 1 {
                words.a.clone()
            } else {
                units(hundreds)
            };
            heads.extend(names.into_iter().map(|name| vec![name, hundred.clone()]));
            heads.push(vec![hundreds.to_string(), hundred.clone()]);
            if hundreds == 1 {
                heads.push(vec![hundred.clone()]);
            }
        }
        if rest == 0 {
            all.extend(heads.clone());
        } else {
            for head in &heads {
                for tail in below_hundred(words, rest)
                    .into_iter()
                    .chain([vec![rest.to_string()]])
                {
                    all.push([head.clone(), tail.clone()].concat());
                    for and in &words.and {
                        all.push([head.clone(), vec![and.clone()], tail.clone()].concat());
                    }
                }
            }
            // "one ten", "three sixty", "1 10".
            if rest >= 10 {
                for tail in below_hundred(words, rest)
                    .into_iter()
                    .chain([vec![rest.to_string()]])
                {
                    for head in units(hundreds).into_iter().chain([hundreds.to_string()]) {
                        all.push([vec![head], tail.clone()].concat());
                    }
                }
            }
        }
    }
    // Digit by digit: "four five", "one oh five".
    let digits: Vec<i32> = n.to_string().bytes().map(|b| (b - b'0') as i32).collect();
    if digits.len() > 1 {
        let mut spelt: Vec<Vec<String>> = vec![Vec::new()];
        for digit in digits {
            let mut names: Vec<String> = units(digit).into_iter().chain([digit.to_string()]).collect();
            if digit == 0 {
                names.extend(words.oh.iter().cloned());
            }
            spelt = spelt
                .iter()
                .flat_map(|head| {
                    names
                        .iter()
                        .map(|name| [head.clone(), vec![name.clone()]].concat())
                })
                .collect();
        }
        all.extend(spelt);
    }
    all
}

fn below_hundred(words: &NumberWords, n: i32) -> Vec<Vec<String>> {
    let mut all: Vec<Vec<String>> = Vec::new();
    for table in [&words.units, &words.teens, &words.tens] {
        all.extend(named(table, n).into_iter().map(|word| vec![word]));
    }
    if n > 20 && n % 10 != 0 {
        for ten in named(&words.tens, n - n % 10) {
            for unit in named(&words.units, n % 10) {
                all.push(vec![ten.clone(), unit]);
            }
        }
    }
    all
}

fn named(table: &BTreeMap<String, i32>, n: i32) -> Vec<String> {
    table
        .iter()
        .filter(|&(_, &value)| value == n)
        .map(|(word, _)| word.clone())
        .collect()
}
