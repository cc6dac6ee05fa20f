//! Where in the grammar an utterance stands, word by word: the automaton as the recogniser's search walks it.
//!
//! Between fragments the state knows which places of the current finding are filled, so that a sentence cannot fill
//! one twice, and which joint and movement were named, so that only pairs that exist go on. It accepts one pass over
//! a dictation; it cannot loop without something new being said.

mod said;

use std::cmp::Reverse;
use std::collections::{BTreeSet, HashMap};
use std::sync::Arc;

use super::Grammar;
use super::automaton::Node;
use super::lexicon::Word;
use super::numbers::{Class, NumberNode};
use super::weight::Weight;
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
    /// How much less the way here weighs than the one that weighs most, so that states with the same prospects are one.
    weight: Weight,
}

impl Item {
    /// What tells items apart.
    fn key(&self) -> (Place, Said) {
        (self.place, self.said)
    }

    /// Further on, in what has been said already.
    fn on(self, place: Place, gain: Weight) -> Item {
        Item {
            place,
            weight: self.weight + gain,
            ..self
        }
    }
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
    /// What ending here adds to the weight; `None` if the utterance may not.
    end: Option<Weight>,
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
    steps: HashMap<(StateId, Word), Option<(StateId, Weight)>>,
    shapes: Vec<Vec<Word>>,
    shape_numbers: HashMap<Vec<Place>, ShapeId>,
}

impl States {
    /// The states of a grammar. The first is [`States::START`].
    pub fn new(grammar: Arc<Grammar>) -> States {
        let start = vec![Item {
            place: Place::Phrase(0),
            said: Said::default(),
            weight: Weight::NONE,
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

    /// What ending the utterance in this state adds to its weight; `None` if it may not end here.
    pub fn end(&mut self, state: StateId) -> Option<Weight> {
        self.open(state).end
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

    /// Where a word leads from a state and what it adds to the weight; `None` if it may not follow. The weight of a
    /// wording is added as soon as the words tell it from others that weigh more.
    pub fn step(&mut self, state: StateId, word: Word) -> Option<(StateId, Weight)> {
        if let Some(&known) = self.steps.get(&(state, word)) {
            return known;
        }
        let mut reached = Vec::new();
        for item in self.open(state).items.clone() {
            let automaton = &self.grammar.automaton;
            reached.extend(match item.place {
                Place::Phrase(node) => {
                    let next = automaton.next(node, word);
                    next.map(|next| item.on(Place::Phrase(next), automaton.gain(node, next)))
                }
                Place::Number { class, at, then } => {
                    let next = automaton.numbers(class).next(at, word);
                    next.map(|at| item.on(Place::Number { class, at, then }, Weight::NONE))
                }
            });
        }
        // Of two ways to the same place the one that weighs more.
        reached.sort_unstable_by_key(|item| (item.key(), Reverse(item.weight)));
        reached.dedup_by_key(|item| item.key());
        let gain = reached.iter().map(|item| item.weight).max();
        let to = gain.map(|gain| {
            for item in &mut reached {
                item.weight = item.weight - gain;
            }
            (self.number(reached), gain)
        });
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
        let mut end: Option<Weight> = None;
        let mut at = 0;
        while at < items.len() {
            let item = items[at];
            at += 1;
            let mut reached = Vec::new();
            let automaton = &self.grammar.automaton;
            match item.place {
                Place::Phrase(node) => {
                    let ended = item.on(Place::Phrase(0), automaton.at_end(node));
                    for &fragment in automaton.accepts(node) {
                        if let Some(said) = item.said.with(&self.grammar, fragment) {
                            if said.may_end() {
                                end = end.max(Some(ended.weight));
                            }
                            if !stands_alone(&automaton.fragment(fragment).fill) {
                                reached.push(Item { said, ..ended });
                            }
                        }
                    }
                    for (class, then) in automaton.number_arcs(node) {
                        let number = Place::Number { class, at: 0, then };
                        reached.push(item.on(number, automaton.gain(node, then)));
                    }
                }
                Place::Number { class, at, then } => {
                    if automaton.numbers(class).value(at).is_some() {
                        reached.push(item.on(Place::Phrase(then), Weight::NONE));
                    }
                }
            }
            for new in reached {
                match items.iter().position(|known| known.key() == new.key()) {
                    None => items.push(new),
                    Some(known) if items[known].weight < new.weight => {
                        // What follows from it weighs more too: it is followed once more.
                        items[known] = new;
                        at = at.min(known);
                    }
                    Some(_) => {}
                }
            }
        }
        let mut places: Vec<Place> = items.iter().map(|item| item.place).collect();
        places.sort_unstable();
        places.dedup();
        Open {
            items,
            end,
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
