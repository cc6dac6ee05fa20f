//! A therapist's own words → wordings: each gets the meaning of what it stands for, and its frames.

use super::super::automaton::{FragmentId, Step};
use super::super::error::GrammarError;
use super::super::file::Wording;
use super::super::fragment::{Fill, Fragment};
use super::super::numbers::Class;
use super::super::own_words::{self, Addition};
use super::super::pattern::Piece;
use super::{Loader, spoken};

/// What an addition stands for.
struct Meaning {
    fragments: Vec<FragmentId>,
    /// The wording that the new one takes the place of, in every frame around it.
    core: Vec<Step>,
}

impl Loader<'_> {
    /// Adds the words of `words.toml`, if there is one.
    pub(super) fn own_words(&mut self) -> Result<(), GrammarError> {
        self.file = own_words::FILE.into();
        let text = self.source.text(own_words::FILE);
        if text.is_empty() {
            return Ok(());
        }
        for addition in self.source.own_words()?.add {
            let meaning = self.meaning(&addition)?;
            let frames = self.frames(&meaning);
            for said in addition.wordings() {
                self.own_wording(said, &addition, &meaning, &frames)?;
            }
        }
        Ok(())
    }

    /// Adds one wording in every frame of what it stands for.
    fn own_wording(
        &mut self,
        said: &Wording,
        addition: &Addition,
        meaning: &Meaning,
        frames: &[(Vec<Step>, usize, FragmentId)],
    ) -> Result<(), GrammarError> {
        let classes = |steps: &[Step]| -> Vec<Class> {
            let number = |step: &Step| match step {
                Step::Number(class) => Some(*class),
                Step::Word(_) => None,
            };
            steps.iter().filter_map(number).collect()
        };
        let start = said.span().start;
        let means = addition.means.as_ref();
        for pieces in self.expanded(said, "")? {
            let sentence: Vec<String> = pieces.iter().map(Piece::to_string).collect();
            let sentence = sentence.join(" ");
            let steps = self.steps(&pieces, said)?;
            if classes(&steps) != classes(&meaning.core) {
                return Err(self.fault(
                    start,
                    format!("`{sentence}` and `{means}` do not hold the same numbers"),
                    "write the same numbers, such as {degrees}, in both and in the same order",
                ));
            }
            let is_control = |fragment: &FragmentId| {
                matches!(
                    self.automaton.fragment(*fragment).fill,
                    Fill::Control { .. } | Fill::Note
                )
            };
            if meaning.fragments.iter().any(is_control) {
                let words: Vec<String> = sentence.split(' ').map(str::to_string).collect();
                if let Some(answer) = spoken::sentence_with(self.source, &words) {
                    return Err(self.fault(
                        start,
                        format!("couchside itself says `{answer}`, so `{sentence}` can't steer it"),
                        "choose words that couchside does not say",
                    ));
                }
                self.controls.push(words);
            }
            let mut taken = None;
            let mut added = 0;
            for (frame, at, fragment) in frames {
                let after = &frame[at + meaning.core.len()..];
                let steps = [&frame[..*at], &steps, after].concat();
                match self.another_meaning(&steps, *fragment) {
                    None => {
                        self.automaton.add_wording(&steps, *fragment);
                        added += 1;
                    }
                    // In a longer phrase the words may well mean something else; they go on meaning it.
                    Some(other) if frame.len() > meaning.core.len() => taken = taken.or(Some(other)),
                    Some(other) => return Err(self.taken(start, &sentence, other)),
                }
            }
            if let Some(other) = taken.filter(|_| added == 0) {
                return Err(self.taken(start, &sentence, other));
            }
        }
        Ok(())
    }

    /// What these steps already stand for, if it is something else.
    fn another_meaning(&self, steps: &[Step], fragment: FragmentId) -> Option<FragmentId> {
        let new = &self.automaton.fragment(fragment).fill;
        let mut known = self.automaton.meaning(steps).iter().copied();
        known.find(|&id| self.automaton.fragment(id).fill != *new)
    }

    fn taken(&self, start: usize, sentence: &str, by: FragmentId) -> GrammarError {
        self.fault(
            start,
            format!("`{sentence}` already means {}", self.described(by)),
            "choose other words: one wording may mean one thing only",
        )
    }

    /// What `means` names: a wording, the name of a value, or a joint with one of its movements.
    fn meaning(&mut self, addition: &Addition) -> Result<Meaning, GrammarError> {
        let means = &addition.means;
        let start = means.span().start;
        let mut sentences = self.expanded(means, "")?;
        let pieces = sentences.swap_remove(0);
        if !sentences.is_empty() {
            let remedy = "write one wording without `[ ]` and `( )`";
            return Err(self.fault(start, "`means` stands for several wordings", remedy));
        }
        // Words that nothing else holds can't name anything, and must not become known by the question.
        let steps = self.known_steps(&pieces);
        let mut found: Vec<FragmentId> = steps
            .as_ref()
            .map_or(Vec::new(), |steps| self.automaton.meaning(steps).to_vec());
        // What is said, a joint with its movement too, comes before what something is merely called, unless the place
        // is named.
        if found.is_empty() || addition.of.is_some() {
            let pair = steps.as_ref().and_then(|steps| self.joint_and_movement(steps));
            found.extend(pair);
        }
        if found.is_empty() || addition.of.is_some() {
            let named = |id: &FragmentId| self.names[*id as usize].eq_ignore_ascii_case(means.as_ref());
            found.extend((0..self.names.len() as FragmentId).filter(named));
            found.extend(self.tested_by_name(means.as_ref()));
        }
        if let Some(of) = &addition.of {
            found.retain(|&id| self.slot_of(id) == of.as_ref());
        }
        found.sort_unstable();
        found.dedup();
        if found.is_empty() {
            return Err(self.not_known(addition));
        }
        let mut slots: Vec<&str> = found.iter().map(|&id| self.slot_of(id)).collect();
        slots.dedup();
        if let [one, other, ..] = slots[..] {
            let message = format!("`{}` is said of the {one} and of the {other}", means.as_ref());
            let remedy = format!("say which you mean: of = \"{one}\" or of = \"{other}\"");
            return Err(self.fault(start, message, remedy));
        }
        // The same meaning said after what it belongs to is a fragment of its own.
        let fills: Vec<Fill> = found
            .iter()
            .map(|&id| self.automaton.fragment(id).fill.clone())
            .collect();
        let fragments: Vec<FragmentId> = (0..self.names.len() as FragmentId)
            .filter(|&id| fills.contains(&self.automaton.fragment(id).fill))
            .collect();
        let core = self.core(&fragments, steps);
        Ok(Meaning { fragments, core })
    }

    /// The wording to take the place of: `steps` if it is one, or is part of one; else the shortest.
    fn core(&self, fragments: &[FragmentId], steps: Option<Vec<Step>>) -> Vec<Step> {
        let mut shortest: Option<Vec<Step>> = None;
        let mut part = false;
        self.automaton.wordings(|wording, ids| {
            if ids.iter().any(|id| fragments.contains(id)) {
                if let Some(steps) = &steps {
                    part |= position(wording, steps).is_some();
                }
                if shortest.as_ref().is_none_or(|known| wording.len() < known.len()) {
                    shortest = Some(wording.to_vec());
                }
            }
        });
        match steps {
            Some(steps) if part => steps,
            // A joint with its movement is a new fragment that has no wording yet.
            steps => shortest.or(steps).unwrap_or_default(),
        }
    }

    /// Every wording that holds the core, where, and which fragment it is of.
    fn frames(&self, meaning: &Meaning) -> Vec<(Vec<Step>, usize, FragmentId)> {
        let mut frames = Vec::new();
        self.automaton.wordings(|wording, ids| {
            if let Some(at) = position(wording, &meaning.core) {
                let of = ids.iter().filter(|id| meaning.fragments.contains(id));
                frames.extend(of.map(|&id| (wording.to_vec(), at, id)));
            }
        });
        if frames.is_empty() {
            let bare = |&id: &FragmentId| (meaning.core.clone(), 0, id);
            frames.extend(meaning.fragments.iter().map(bare));
        }
        frames
    }

    /// "knee flexion": that movement of that joint, as a meaning of its own.
    fn joint_and_movement(&mut self, steps: &[Step]) -> Option<FragmentId> {
        let pair = (1..steps.len()).find_map(|cut| {
            let (head, tail) = steps.split_at(cut);
            [(head, tail), (tail, head)]
                .iter()
                .find_map(|(joint, movement)| self.pair(joint, movement))
        })?;
        let name = format!(
            "{} {}",
            self.joints[pair.0].name, self.joints[pair.0].movements[pair.1].name
        );
        self.names.push(name);
        let fill = Fill::Movement(vec![pair]);
        Some(self.automaton.add_fragment(Fragment {
            fill,
            after: false,
            place: false,
        }))
    }

    fn pair(&self, joint: &[Step], movement: &[Step]) -> Option<(usize, usize)> {
        let fills = |steps| {
            let ids = self.automaton.meaning(steps).iter();
            ids.map(|&id| &self.automaton.fragment(id).fill)
        };
        let joint = fills(joint).find_map(|fill| match fill {
            Fill::Joint(joint) => Some(*joint),
            _ => None,
        })?;
        fills(movement).find_map(|fill| match fill {
            Fill::Movement(candidates) => candidates.iter().find(|(j, _)| *j == joint).copied(),
            _ => None,
        })
    }

    /// Wordings of the muscle or test that is kept under this name, which may be one that nobody says.
    fn tested_by_name(&self, name: &str) -> Vec<FragmentId> {
        let is_one = |candidates: &[usize], names: &dyn Fn(usize) -> bool| match candidates {
            [only] => names(*only),
            _ => false,
        };
        let muscle = |number: usize| self.muscles[number].name.eq_ignore_ascii_case(name);
        let test = |number: usize| self.tests[number].name.eq_ignore_ascii_case(name);
        let named = |id: &FragmentId| match &self.automaton.fragment(*id).fill {
            Fill::Muscle {
                candidates,
                level: None,
            } => is_one(candidates, &muscle),
            Fill::Test(candidates) => is_one(candidates, &test),
            _ => false,
        };
        (0..self.names.len() as FragmentId).filter(named).collect()
    }

    fn not_known(&self, addition: &Addition) -> GrammarError {
        let means = addition.means.as_ref();
        if let Some(of) = &addition.of {
            let message = format!("couchside knows no {} `{means}`", of.as_ref());
            return self.fault(of.span().start, message, "leave `of` out, or name the right one");
        }
        let near = self
            .names
            .iter()
            .map(|name| (strsim::jaro_winkler(name, &means.to_lowercase()), name))
            .max_by(|one, other| one.0.total_cmp(&other.0))
            .filter(|(likeness, _)| *likeness > NEAR);
        let remedy = match near {
            Some((_, name)) => format!("did you mean `{name}`?"),
            None => "name something that it knows; `couchside grammar say` shows what can be said".into(),
        };
        self.fault(
            addition.means.span().start,
            format!("couchside does not know `{means}`"),
            remedy,
        )
    }

    fn slot_of(&self, id: FragmentId) -> &'static str {
        self.automaton.fragment(id).fill.slot().name()
    }

    fn described(&self, id: FragmentId) -> String {
        format!("the {} `{}`", self.slot_of(id), self.names[id as usize])
    }

    /// The steps of a wording whose words are all known.
    fn known_steps(&self, pieces: &[Piece]) -> Option<Vec<Step>> {
        let step = |piece: &Piece| match piece {
            Piece::Word(word) => self.lexicon.number(word).map(Step::Word),
            Piece::Number(name) => Class::named(name).map(Step::Number),
        };
        pieces.iter().map(step).collect()
    }
}

/// How alike two names must be for one to be meant by the other, 0 to 1.
const NEAR: f64 = 0.85;

/// Where `part` stands in `whole`.
fn position(whole: &[Step], part: &[Step]) -> Option<usize> {
    whole.windows(part.len().max(1)).position(|window| window == part)
}
