//! The cheapest ways to say the sounds of a transcript in sentences of the grammar.
//!
//! A beam search, sound by sound (Viterbi's algorithm over an edit distance whose costs follow from how sounds are
//! made). The few cheapest histories of each place are kept, so that "left" stays a rival of "right" although
//! the same words may follow both.

use std::collections::{BinaryHeap, HashMap};
use std::sync::Arc;

use super::likeness::{gap, substitution};
use super::place::{BETWEEN, Cheapest, History, NO_WORDS, Place, same};
use super::spoken::Spoken;
use super::trie::Trie;
use crate::grammar::Grammar;
use crate::grammar::phrase_state::{self, StateId, States};
use crate::grammar::sounds::phones::{NAMES, Phone};

/// A sentence of the grammar and how far its sounds are from those of the transcript.
#[derive(Clone, Debug, PartialEq)]
pub struct SoundsLike {
    /// Its words, with spaces between them.
    pub text: String,
    /// The cost of turning one into the other for each phone of the transcript: 0 for the same sounds; from about
    /// 0.3 they have little in common.
    pub distance: f32,
}

/// What a word costs, so that of two ways with the same sounds the one of fewer words is cheaper.
const WORD: f32 = 0.05;
/// What a nat of a wording's weight counts.
const NAT: f32 = 0.3;
/// Places that cost more than the cheapest by this are left.
const BEAM: f32 = 2.5;
/// Places looked at for each sound.
const MOST_PLACES: usize = 400;
/// Histories kept for each place.
const MOST_HISTORIES: usize = 3;
/// Sentences handed on.
const MOST_SENTENCES: usize = 12;
/// Sounds of the longest transcript that is matched: some ten seconds of speech.
const MOST_SOUNDS: usize = 160;
/// Grammar states kept from one utterance to the next. Working them out again costs next to nothing beside the model.
const MOST_STATES: usize = 2_000;

/// The reader: the grammar's sounds, worked out as they are needed and kept.
pub struct ByEar {
    grammar: Arc<Grammar>,
    states: States,
    tries: Vec<Trie>,
    /// The trie of each place inside the grammar's wordings.
    trie_of: HashMap<phrase_state::Place, u32>,
    /// The tries of each state that has been asked for: the words that may follow it.
    tries_at: HashMap<StateId, Vec<u32>>,
    spoken: Spoken,
    /// The costs, looked up.
    hear_as: [[f32; NAMES.len()]; NAMES.len()],
    gaps: [f32; NAMES.len()],
}

impl ByEar {
    /// A reader for this grammar.
    pub fn new(grammar: Arc<Grammar>) -> ByEar {
        let mut hear_as = [[0.0; NAMES.len()]; NAMES.len()];
        for (said, row) in hear_as.iter_mut().enumerate() {
            for (heard, cost) in row.iter_mut().enumerate() {
                *cost = substitution(said as Phone, heard as Phone);
            }
        }
        ByEar {
            states: States::new(grammar.clone()),
            tries: Vec::new(),
            trie_of: HashMap::new(),
            tries_at: HashMap::new(),
            spoken: Spoken::new(grammar.clone()),
            hear_as,
            gaps: std::array::from_fn(|phone| gap(phone as Phone)),
            grammar,
        }
    }

    /// The sounds of a text, as it is written by people or recognisers.
    pub fn sounds(&self, text: &str) -> Vec<Phone> {
        self.spoken.sounds(text)
    }

    /// A text of words with its numbers in digits, as recognisers like to write them.
    pub fn in_digits(&self, text: &str) -> String {
        self.spoken.in_digits(text)
    }

    /// How far two texts are apart by their sounds, for each sound of `heard`; see [`SoundsLike::distance`].
    pub fn distance(&self, said: &str, heard: &str) -> f32 {
        let (said, heard) = (self.sounds(said), self.sounds(heard));
        let gap = |sound: &Phone| self.gaps[*sound as usize];
        let mut row: Vec<f32> = vec![0.0];
        row.extend(heard.iter().scan(0.0, |sum, sound| {
            *sum += gap(sound);
            Some(*sum)
        }));
        for sound in &said {
            let mut diagonal = row[0];
            row[0] += gap(sound);
            for (at, other) in heard.iter().enumerate() {
                let replaced = diagonal + self.hear_as[*sound as usize][*other as usize];
                diagonal = row[at + 1];
                row[at + 1] = replaced.min(diagonal + gap(sound)).min(row[at] + gap(other));
            }
        }
        row[heard.len()] / heard.len().max(1) as f32
    }

    /// The sentences that sound most like a transcript, nearest first; none if nothing is near.
    pub fn read(&mut self, text: &str) -> Vec<SoundsLike> {
        let sounds = self.sounds(text);
        if sounds.is_empty() || sounds.len() > MOST_SOUNDS {
            return Vec::new();
        }
        if self.states.len() > MOST_STATES {
            self.states = States::new(self.grammar.clone());
            self.tries_at.clear();
        }
        let mut histories = Vec::new();
        let mut column = vec![Place {
            cost: 0.0,
            state: States::START,
            node: BETWEEN,
            history: NO_WORDS,
        }];
        for &sound in &sounds {
            let places = self.spread(&column, &mut histories);
            column = self.heard(&places, sound);
        }
        let places = self.spread(&column, &mut histories);
        self.sentences(&places, &histories, sounds.len())
    }

    /// Everything that can be reached from these places without hearing a sound, cheapest first: words end, and
    /// sounds that were said are not heard.
    fn spread(&mut self, column: &[Place], histories: &mut Vec<History>) -> Vec<Place> {
        let mut ahead: BinaryHeap<Cheapest> = column.iter().copied().map(Cheapest).collect();
        let mut kept: HashMap<(StateId, (u32, u32)), Vec<u32>> = HashMap::new();
        let mut places = Vec::new();
        let mut most = f32::INFINITY;
        while let Some(Cheapest(place)) = ahead.pop() {
            if place.cost > most || places.len() == MOST_PLACES {
                break;
            }
            most = most.min(place.cost + BEAM);
            let known = kept.entry((place.state, place.node)).or_default();
            if known.len() == MOST_HISTORIES
                || known.iter().any(|&other| same(histories, other, place.history))
            {
                continue;
            }
            known.push(place.history);
            places.push(place);
            let gaps = self.gaps;
            self.each_next(&place, |sound, node| {
                let cost = place.cost + gaps[sound as usize];
                if cost <= most {
                    ahead.push(Cheapest(Place { cost, node, ..place }));
                }
            });
            if place.node == BETWEEN {
                continue;
            }
            let (trie, node) = place.node;
            for &word in &self.tries[trie as usize].nodes[node as usize].words {
                let Some((state, gain)) = self.states.step(place.state, word) else {
                    continue;
                };
                let cost = place.cost + WORD - NAT * gain.nats();
                if cost <= most {
                    histories.push(History {
                        word,
                        before: place.history,
                    });
                    ahead.push(Cheapest(Place {
                        cost,
                        state,
                        node: BETWEEN,
                        history: (histories.len() - 1) as u32,
                    }));
                }
            }
        }
        places
    }

    /// The places after a sound has been heard.
    fn heard(&mut self, places: &[Place], sound: Phone) -> Vec<Place> {
        let mut next = Vec::new();
        // One more sound changes the cheapest cost by a gap at most.
        let most = places.first().map_or(0.0, |place| place.cost) + self.gaps[sound as usize] + BEAM;
        for place in places {
            let cost = place.cost + self.gaps[sound as usize];
            if cost <= most {
                next.push(Place { cost, ..*place });
            }
            let hear_as = self.hear_as;
            self.each_next(place, |said, node| {
                let cost = place.cost + hear_as[said as usize][sound as usize];
                if cost <= most {
                    next.push(Place { cost, node, ..*place });
                }
            });
        }
        if next.len() > 2 * MOST_PLACES {
            next.select_nth_unstable_by(2 * MOST_PLACES, |one, other| {
                Cheapest(*other).cmp(&Cheapest(*one))
            });
            next.truncate(2 * MOST_PLACES);
        }
        next
    }

    fn sentences(&mut self, places: &[Place], histories: &[History], sounds: usize) -> Vec<SoundsLike> {
        let mut sentences: Vec<SoundsLike> = Vec::new();
        for place in places.iter().filter(|place| place.node == BETWEEN) {
            if sentences.len() == MOST_SENTENCES {
                break;
            }
            if place.history == NO_WORDS || self.states.end(place.state).is_none() {
                continue;
            }
            let mut words = Vec::new();
            let mut at = place.history;
            while let Some(history) = histories.get(at as usize) {
                words.push(self.grammar.lexicon.word(history.word));
                at = history.before;
            }
            words.reverse();
            let text = words.join(" ");
            if !sentences.iter().any(|known| known.text == text) {
                sentences.push(SoundsLike {
                    text,
                    distance: place.cost / sounds as f32,
                });
            }
        }
        sentences
    }

    /// Calls `each` with every sound that may come next at a place, and where it leads.
    fn each_next(&mut self, place: &Place, mut each: impl FnMut(Phone, (u32, u32))) {
        if place.node != BETWEEN {
            let (trie, node) = place.node;
            for &(sound, next) in &self.tries[trie as usize].nodes[node as usize].next {
                each(sound, (trie, next));
            }
            return;
        }
        self.open(place.state);
        for &trie in self.tries_at.get(&place.state).into_iter().flatten() {
            for &(sound, next) in &self.tries[trie as usize].nodes[0].next {
                each(sound, (trie, next));
            }
        }
    }

    /// Works out the tries of the words that may follow a state, if they are not known yet.
    fn open(&mut self, state: StateId) {
        if self.tries_at.contains_key(&state) {
            return;
        }
        let places = self.states.places(state).to_vec();
        let tries = places.into_iter().map(|place| self.trie(place)).collect();
        self.tries_at.insert(state, tries);
    }

    /// The sounds of the words that may follow a place in the grammar.
    fn trie(&mut self, place: phrase_state::Place) -> u32 {
        if let Some(&known) = self.trie_of.get(&place) {
            return known;
        }
        let mut trie = Trie::new();
        for word in self.states.words_at(place) {
            let written = self.grammar.lexicon.word(word);
            if !written.contains(|c: char| c.is_ascii_digit()) {
                for way in self.grammar.sounds.ways(written) {
                    trie.insert(&way, word);
                }
            }
        }
        self.tries.push(trie);
        let number = (self.tries.len() - 1) as u32;
        self.trie_of.insert(place, number);
        number
    }
}
