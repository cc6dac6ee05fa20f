//! Where in the grammar an utterance stands, word by word: the automaton as the recogniser's search walks it.
//!
//! Between fragments the state knows which places of the current finding are filled, so that a sentence cannot fill
//! one twice, and which joint and movement were named, so that only pairs that exist go on. It accepts one pass over
//! a dictation; it cannot loop without something new being said.

mod said;

use std::collections::{BTreeSet, HashMap};
use std::sync::Arc;

use super::Grammar;
use super::automaton::Node;
use super::lexicon::Word;
use super::numbers::{Class, NumberNode};
use said::{Said, stands_alone};

/// A place inside a wording or a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Place {
    Phrase(Node),
    Number {
        class: Class,
        at: NumberNode,
        then: Node,
    },
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
struct Item {
    place: Place,
    said: Said,
}

/// Number of a state; see [`States`].
pub type StateId = u32;

/// Number of a set of words that may follow; many states share one, because what has been said is checked only
/// where a wording ends.
pub type ShapeId = u32;

/// A state, worked out.
#[derive(Clone, Debug)]
struct Open {
    /// Every place that the state stands in, ends of wordings and beginnings of numbers followed.
    items: Vec<Item>,
    complete: bool,
    /// The places of the items, in order, none twice.
    places: Vec<Place>,
    /// Worked out when it is first asked for.
    shape: Option<ShapeId>,
}

/// The states of the grammar, made as they are reached and kept.
pub struct States {
    grammar: Arc<Grammar>,
    sets: Vec<Vec<Item>>,
    numbers: HashMap<Vec<Item>, StateId>,
    open: HashMap<StateId, Open>,
    steps: HashMap<(StateId, Word), Option<StateId>>,
    shapes: Vec<Vec<Word>>,
    shape_numbers: HashMap<Vec<Place>, ShapeId>,
}

impl States {
    /// The states of a grammar. The first is [`States::START`].
    pub fn new(grammar: Arc<Grammar>) -> States {
        let start = vec![Item {
            place: Place::Phrase(0),
            said: Said::default(),
        }];
        States {
            grammar,
            numbers: HashMap::from([(start.clone(), 0)]),
            sets: vec![start],
            open: HashMap::new(),
            steps: HashMap::new(),
            shapes: Vec::new(),
            shape_numbers: HashMap::new(),
        }
    }

    /// Where an utterance begins.
    pub const START: StateId = 0;

    /// The utterance may end in this state.
    pub fn is_complete(&mut self, state: StateId) -> bool {
        self.open(state).complete
    }

    /// Which words may follow this state: the number of the set.
    pub fn shape(&mut self, state: StateId) -> ShapeId {
        if let Some(known) = self.open(state).shape {
            return known;
        }
        let places = self.open(state).places.clone();
        let shape = self.shape_of(places);
        if let Some(open) = self.open.get_mut(&state) {
            open.shape = Some(shape);
        }
        shape
    }

    /// The places that the state stands in, none twice; the words that may follow are those of all of them.
    pub fn places(&mut self, state: StateId) -> &[Place] {
        &self.open(state).places
    }

    /// The words that may follow a place.
    pub fn words_at(&self, place: Place) -> Vec<Word> {
        let automaton = &self.grammar.automaton;
        match place {
            Place::Phrase(node) => automaton.arcs(node).map(|arc| arc.0).collect(),
            Place::Number { class, at, .. } => automaton.numbers(class).arcs(at).map(|arc| arc.0).collect(),
        }
    }

    /// The words of a set.
    pub fn words(&self, shape: ShapeId) -> &[Word] {
        &self.shapes[shape as usize]
    }

    /// Where a word leads from a state; `None` if it may not follow.
    pub fn step(&mut self, state: StateId, word: Word) -> Option<StateId> {
        if let Some(&known) = self.steps.get(&(state, word)) {
            return known;
        }
        let mut reached = Vec::new();
        for item in self.open(state).items.clone() {
            let place = match item.place {
                Place::Phrase(node) => self.grammar.automaton.next(node, word).map(Place::Phrase),
                Place::Number { class, at, then } => {
                    let next = self.grammar.automaton.numbers(class).next(at, word);
                    next.map(|at| Place::Number { class, at, then })
                }
            };
            reached.extend(place.map(|place| Item {
                place,
                said: item.said,
            }));
        }
        reached.sort_unstable();
        reached.dedup();
        let to = (!reached.is_empty()).then(|| self.number(reached));
        self.steps.insert((state, word), to);
        to
    }

    /// How many states have been made.
    pub fn len(&self) -> usize {
        self.sets.len()
    }

    /// No state has been made; never true, as there is a first.
    pub fn is_empty(&self) -> bool {
        self.sets.is_empty()
    }

    fn open(&mut self, state: StateId) -> &Open {
        if !self.open.contains_key(&state) {
            let open = self.work_out(state);
            self.open.insert(state, open);
        }
        &self.open[&state]
    }

    fn work_out(&mut self, state: StateId) -> Open {
        let mut items = self.sets[state as usize].clone();
        let mut complete = false;
        let mut at = 0;
        while at < items.len() {
            let item = items[at];
            at += 1;
            let mut reached = Vec::new();
            match item.place {
                Place::Phrase(node) => {
                    for &fragment in self.grammar.automaton.accepts(node) {
                        if let Some(said) = item.said.with(&self.grammar, fragment) {
                            complete |= said.may_end();
                            if !stands_alone(&self.grammar.automaton.fragment(fragment).fill) {
                                reached.push(Item {
                                    place: Place::Phrase(0),
                                    said,
                                });
                            }
                        }
                    }
                    for (class, then) in self.grammar.automaton.number_arcs(node) {
                        reached.push(Item {
                            place: Place::Number { class, at: 0, then },
                            said: item.said,
                        });
                    }
                }
                Place::Number { class, at, then } => {
                    if self.grammar.automaton.numbers(class).value(at).is_some() {
                        reached.push(Item {
                            place: Place::Phrase(then),
                            said: item.said,
                        });
                    }
                }
            }
            for new in reached {
                if !items.contains(&new) {
                    items.push(new);
                }
            }
        }
        let mut places: Vec<Place> = items.iter().map(|item| item.place).collect();
        places.sort_unstable();
        places.dedup();
        Open {
            items,
            complete,
            places,
            shape: None,
        }
    }

    /// The set of words that may follow these places.
    fn shape_of(&mut self, places: Vec<Place>) -> ShapeId {
        if let Some(&known) = self.shape_numbers.get(&places) {
            return known;
        }
        let words: BTreeSet<Word> = places.iter().flat_map(|place| self.words_at(*place)).collect();
        let id = self.shapes.len() as ShapeId;
        self.shapes.push(words.into_iter().collect());
        self.shape_numbers.insert(places, id);
        id
    }

    fn number(&mut self, items: Vec<Item>) -> StateId {
        if let Some(&id) = self.numbers.get(&items) {
            return id;
        }
        let id = self.sets.len() as StateId;
        self.sets.push(items.clone());
        self.numbers.insert(items, id);
        id
    }
}
