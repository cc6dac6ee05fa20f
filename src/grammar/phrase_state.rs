//! Where in the grammar an utterance stands, word by word: the automaton as the recogniser's search walks it.
//!
//! Between fragments the state knows which places of the current finding are filled, so that a sentence cannot fill
//! one twice, and which joint and movement were named, so that only pairs that exist go on. It accepts one pass over
//! a dictation; it cannot loop without something new being said.

use std::collections::{BTreeSet, HashMap};
use std::sync::Arc;

use super::Grammar;
use super::automaton::Node;
use super::fragment::{Fill, Slot};
use super::lexicon::Word;
use super::numbers::{Class, NumberNode};

/// What has been said of the finding at hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
struct Said {
    /// A bit for each [`Slot`].
    filled: u32,
    joint: Option<u8>,
    /// The fragment that named what the finding is about.
    subject: Option<u32>,
    /// Signs in this finding.
    signs: u8,
    /// Findings begun in this utterance.
    findings: u8,
    /// Fillers since the last fragment.
    fillers: u8,
}

/// A place inside a wording.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
enum Place {
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
    shape: ShapeId,
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

/// Most findings in one utterance.
const MOST_FINDINGS: u8 = 4;
/// Most signs in one finding.
const MOST_SIGNS: u8 = 3;
/// Most fillers between two fragments.
const MOST_FILLERS: u8 = 2;

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
        self.open(state).shape
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
                        if let Some(said) = self.after(item.said, fragment) {
                            complete |= said.fillers == 0;
                            // A control word is the whole utterance: nothing follows it.
                            if !self.stands_alone(fragment) {
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
            shape: self.shape_of(places),
        }
    }

    /// The set of words that may follow these places.
    fn shape_of(&mut self, places: Vec<Place>) -> ShapeId {
        if let Some(&known) = self.shape_numbers.get(&places) {
            return known;
        }
        let mut words = BTreeSet::new();
        for place in &places {
            match *place {
                Place::Phrase(node) => words.extend(self.grammar.automaton.arcs(node).map(|arc| arc.0)),
                Place::Number { class, at, .. } => {
                    words.extend(self.grammar.automaton.numbers(class).arcs(at).map(|arc| arc.0));
                }
            }
        }
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

    fn stands_alone(&self, fragment: u32) -> bool {
        match self.grammar.automaton.fragment(fragment).fill {
            Fill::Control { opens, .. } => !opens,
            Fill::Note => true,
            _ => false,
        }
    }

    /// What has been said once `fragment` has been said too; `None` if it cannot be said here.
    fn after(&self, said: Said, fragment: u32) -> Option<Said> {
        let fill = &self.grammar.automaton.fragment(fragment).fill;
        let slot = fill.slot();
        match fill {
            Fill::Filler { heard: false } => return None,
            Fill::Filler { heard: true } => {
                let fillers = said.fillers + 1;
                return (fillers <= MOST_FILLERS).then_some(Said { fillers, ..said });
            }
            // Only at the very beginning.
            Fill::Control { .. } | Fill::Note => {
                return (said == Said::default()).then_some(Said { findings: 1, ..said });
            }
            _ => {}
        }
        let mut said = Said { fillers: 0, ..said };
        if said.findings == 0 {
            said.findings = 1;
        }
        let place = slot.place();
        let repeated = said.filled & place.bit() != 0 && !slot.gathers();
        if repeated {
            // A place said again begins the next finding, if this one has a result.
            if !slot.is_context() || !has_result(said.filled) || said.findings >= MOST_FINDINGS {
                return None;
            }
            said = Said {
                filled: 0,
                joint: said.joint,
                findings: said.findings + 1,
                ..Said::default()
            };
        }
        match fill {
            _ if slot.gathers() && said.signs >= MOST_SIGNS => return None,
            Fill::Joint(joint) => said.joint = Some(*joint as u8),
            _ if slot.gathers() => said.signs += 1,
            _ if slot.is_subject() => said.subject = Some(fragment),
            _ => {}
        }
        said.filled |= place.bit() | slot.bit();
        self.fits(said).then_some(said)
    }

    /// Only pairs that exist: a movement of the joint, a result that can be said of a test.
    fn fits(&self, said: Said) -> bool {
        let Some(subject) = said.subject else { return true };
        let grammar = &self.grammar;
        let fill = &grammar.automaton.fragment(subject).fill;
        let results = said.filled & !CONTEXT;
        if results & !fill.slot().results() != 0 {
            return false;
        }
        let Some(joint) = said.joint.map(usize::from) else {
            return true;
        };
        match fill {
            Fill::Movement(candidates) => candidates.iter().any(|&(of, _)| of == joint),
            Fill::Muscle { candidates, .. } => candidates
                .iter()
                .any(|&muscle| grammar.muscles[muscle].joint == grammar.joints[joint].name),
            Fill::Test(candidates) => candidates
                .iter()
                .any(|&test| grammar.tests[test].joints.contains(&grammar.joints[joint].name)),
            _ => true,
        }
    }
}

/// The places that say what was examined.
const CONTEXT: u32 = bits(&[
    Slot::Side,
    Slot::Joint,
    Slot::Movement,
    Slot::Muscle,
    Slot::Test,
    Slot::Structure,
    Slot::Girth,
    Slot::Level,
    Slot::Position,
    Slot::Mode,
    Slot::As,
]);

const fn bits(slots: &[Slot]) -> u32 {
    let (mut set, mut at) = (0, 0);
    while at < slots.len() {
        set |= 1 << slots[at] as u32;
        at += 1;
    }
    set
}

fn has_result(filled: u32) -> bool {
    filled & !CONTEXT != 0
}
