//! A therapist's own words → wordings: each gets the meaning of what it stands for, and its frames.

mod meaning;

use super::super::automaton::{FragmentId, Step};
use super::super::error::GrammarError;
use super::super::file::Wording;
use super::super::fragment::Fill;
use super::super::numbers::Class;
use super::super::own_words::{self, Addition};
use super::super::pattern::Piece;
use super::{Loader, spoken};
use meaning::Meaning;

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
        let weight = self.weight(said)?;
        for pieces in self.expanded(&said.text, "")? {
            let sentence: Vec<String> = pieces.iter().map(Piece::to_string).collect();
            let sentence = sentence.join(" ");
            let steps = self.steps(&pieces, &said.text)?;
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
                        self.automaton.add_wording(&steps, *fragment, weight);
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

    fn slot_of(&self, id: FragmentId) -> &'static str {
        self.automaton.fragment(id).fill.slot().name()
    }

    fn described(&self, id: FragmentId) -> String {
        format!("the {} `{}`", self.slot_of(id), self.names[id as usize])
    }
}

/// Where `part` stands in `whole`.
fn position(whole: &[Step], part: &[Step]) -> Option<usize> {
    whole.windows(part.len().max(1)).position(|window| window == part)
}
