//! Phrases drawn at random from the grammar: what a therapist might dictate, for measuring how well it is heard.
//!
//! A recipe says which places of a finding are spoken of and in which order; the words for each are drawn from the
//! vocabulary, and the automaton of [`super::phrase_state`] must accept them in a row. What the words mean is not
//! decided here: that is the interpreter's, and a caller drops what it doubts.

mod about;
mod chance;
mod deck;
mod recipe;
mod results;
mod wordings;

use std::sync::Arc;

use super::Grammar;
use super::automaton::{FragmentId, Step};
use super::fragment::Fill;
use super::numbers::{Class, Value};
use super::phrase_state::States;

use chance::Chance;
use deck::Decks;
use recipe::Ask;
use wordings::Wordings;

/// What was drawn.
#[derive(Clone, Debug)]
pub struct Drawn {
    /// What it is about, in a word: `movement`, `test`, `chain` …
    pub about: &'static str,
    /// What is said, utterance by utterance, in lower-case words without digits.
    pub utterances: Vec<Utterance>,
}

/// A stretch of dictation.
#[derive(Clone, Debug)]
pub struct Utterance {
    pub said: String,
    /// The fragments that it was put together from.
    pub fragments: Vec<FragmentId>,
}

/// Draws phrase after phrase.
pub struct Drawing {
    grammar: Arc<Grammar>,
    states: States,
    wordings: Wordings,
    decks: Decks,
    chance: Chance,
}

/// How often the words for one recipe are drawn before it is given up.
const TRIES: usize = 30;

impl Drawing {
    /// A drawing from `grammar` that gives the same phrases for the same seed. Wordings with one of the words
    /// `left_out` are never drawn.
    pub fn new(grammar: Arc<Grammar>, seed: u64, left_out: &[String]) -> Drawing {
        let mut chance = Chance::new(seed);
        Drawing {
            states: States::new(grammar.clone()),
            wordings: Wordings::new(&grammar, left_out),
            decks: Decks::new(&grammar, &mut chance),
            chance,
            grammar,
        }
    }

    /// The next phrase that the automaton accepts; `None` where this turn's recipe came to nothing, and the next call
    /// may do better.
    pub fn draw(&mut self) -> Option<Drawn> {
        let about = self.chance.weighted(&about::ABOUT)?;
        let mut subject = self.decks.next(about, &self.grammar, &mut self.chance)?;
        let mut utterances = Vec::new();
        for turn in 0..about::turns(about, &mut self.chance) {
            let said = (0..TRIES).find_map(|_| {
                let asked = recipe::asked(about, turn, &mut subject, &self.grammar, &mut self.chance);
                self.put(&asked)
            });
            utterances.push(said?);
        }
        Some(Drawn {
            about: about.name(),
            utterances,
        })
    }

    /// Words for what a recipe asks for, if there are such and the automaton accepts them.
    fn put(&mut self, asked: &[Ask]) -> Option<Utterance> {
        let mut words = Vec::new();
        let mut fragments = Vec::new();
        for ask in asked {
            let fragment = self.decks.fragment(ask, &self.grammar, &mut self.chance)?;
            let steps = self.wordings.of(fragment, &mut self.chance)?.to_vec();
            let mut values = self.values(&steps, ask).into_iter();
            for step in steps {
                match step {
                    Step::Word(word) => words.push(word),
                    Step::Number(class) => {
                        let number = self.wordings.number(class, values.next()?, &mut self.chance)?;
                        words.extend_from_slice(number);
                    }
                }
            }
            fragments.push(fragment);
        }
        let mut state = States::START;
        for &word in &words {
            state = self.states.step(state, word)?.0;
        }
        let said: Vec<&str> = words
            .iter()
            .map(|&word| self.grammar.lexicon.word(word))
            .collect();
        self.states.end(state).is_some().then(|| Utterance {
            said: said.join(" "),
            fragments,
        })
    }

    /// The numbers that a wording asks for; from here to there goes upwards.
    fn values(&mut self, steps: &[Step], ask: &Ask) -> Vec<Value> {
        let classes = steps.iter().filter_map(|step| match step {
            Step::Number(class) => Some(*class),
            Step::Word(_) => None,
        });
        let classes: Vec<Class> = classes.collect();
        let mut values: Vec<Value> = classes.iter().map(|&class| self.value(class, ask)).collect();
        if classes.iter().all(|&class| class == Class::Degrees) {
            values.sort_by_key(|value| value.number);
        }
        values
    }

    /// A number of a class, most often as they are read off: degrees in fives, within what is asked for.
    fn value(&mut self, class: Class, ask: &Ask) -> Value {
        let chance = &mut self.chance;
        let [low, high] = ask.within;
        let plain = |number| Value { number, sign: 0 };
        match class {
            Class::Score => plain(chance.below(11) as i32),
            Class::Height => plain(1 + chance.below(20) as i32),
            Class::Degrees => {
                let number = low + chance.below((high - low + 1).max(1) as usize) as i32;
                let fives = chance.percent(70);
                plain(if fives {
                    (number / 5 * 5).clamp(low, high)
                } else {
                    number
                })
            }
            Class::Grade | Class::GradeSign => {
                let signs: &[(i32, i8)] =
                    &[(4, 1), (4, -1), (3, 1), (5, -1), (3, -1), (2, 1), (2, -1), (1, 1)];
                let signed = class == Class::GradeSign || chance.percent(45);
                match chance.early(signs) {
                    Some(&(number, sign)) if signed => Value { number, sign },
                    _ => plain(chance.below(6) as i32),
                }
            }
        }
    }
}

/// The fragment takes its words from what was said before it, not from what is said in it.
fn leans(fill: &Fill) -> bool {
    matches!(
        fill,
        Fill::Copy
            | Fill::PainOfNeither
            | Fill::CopyEndFeel
            | Fill::OtherSide
            | Fill::More
            | Fill::Less
            | Fill::As(_)
    )
}
