//! Wordings → paths of the automaton.

use super::super::automaton::{FragmentId, Step};
use super::super::check::Check;
use super::super::error::GrammarError;
use super::super::file::{Text, Wording};
use super::super::numbers::Class;
use super::super::pattern::{Piece, expand};
use super::super::weight::{self, Weight};
use super::Loader;
use super::subjects::Frame;

/// The largest automaton: many times what the trade needs, and some hundred megabytes.
const MOST_STATES: usize = 500_000;

impl Loader<'_> {
    /// Every sentence of a wording that holds no number.
    pub(super) fn plain_words(&self, said: &Text) -> Result<Vec<Vec<String>>, GrammarError> {
        let word = |piece| match piece {
            Piece::Word(word) => Ok(word),
            Piece::Number(name) => Err(self.fault(
                said.span().start,
                format!("a number `{{{name}}}` can't stand in the name of a value"),
                "write the words only",
            )),
        };
        self.expanded(said, "")?
            .into_iter()
            .map(|pieces| pieces.into_iter().map(word).collect())
            .collect()
    }

    pub(super) fn expanded(&self, wording: &Text, value: &str) -> Result<Vec<Vec<Piece>>, GrammarError> {
        // Past the opening quote.
        let start = wording.span().start + 1;
        expand(wording.as_ref(), value).map_err(|slip| {
            self.fault(start + slip.at, slip.message, slip.remedy)
                .found_by(slip.check)
        })
    }

    /// Adds every sentence of a wording; `value` stands for `{}`. `blame` is the entry to show if one of them already
    /// means something else. `weight` is added to the wording's own.
    pub(super) fn wording(
        &mut self,
        wording: &Wording,
        value: &str,
        fragment: FragmentId,
        blame: &Text,
        weight: Weight,
    ) -> Result<(), GrammarError> {
        let weight = weight + self.weight(wording)?;
        for pieces in self.expanded(&wording.text, value)? {
            self.not_too_large(self.automaton.size().0, blame)?;
            let steps = self.steps(&pieces, &wording.text)?;
            if let Some(other) = self.automaton.add_wording(&steps, fragment, weight) {
                let sentence: Vec<String> = pieces.iter().map(Piece::to_string).collect();
                let (one, other) = (&self.names[other as usize], &self.names[fragment as usize]);
                return Err(self
                    .fault(
                        blame.span().start,
                        format!("`{}` is said for `{one}` and for `{other}`", sentence.join(" ")),
                        "one wording may mean one thing only: take it out of one of the two",
                    )
                    .found_by(Check::OneMeaning));
            }
        }
        Ok(())
    }

    /// Frames and names multiply; a slip in one must not take all of the memory. `states` is how large the grammar has
    /// grown.
    pub(super) fn not_too_large(&self, states: usize, blame: &Text) -> Result<(), GrammarError> {
        if states <= MOST_STATES {
            return Ok(());
        }
        let fault = self.fault(
            blame.span().start,
            format!("with this wording the vocabulary holds more than {MOST_STATES} words in their places"),
            "make it or the frames around it narrower: each frame is said with each name",
        );
        Err(fault.found_by(Check::NotTooWide))
    }

    /// The weight of a wording, within the bounds.
    pub(super) fn weight(&self, wording: &Wording) -> Result<Weight, GrammarError> {
        let Some(nats) = &wording.weight else {
            return Ok(Weight::NONE);
        };
        Weight::of(*nats.as_ref()).ok_or_else(|| {
            let [least, most] = weight::BOUNDS;
            self.fault(
                nats.span().start,
                format!("a weight is a number from {least} to {most}, not {}", nats.as_ref()),
                "write 0 for as likely as the others, less for rarer: -1 is about a third as likely, -3 a twentieth",
            )
        })
    }

    /// What is said around names, checked.
    pub(super) fn around(&self, frames: &[Wording]) -> Result<Vec<Frame>, GrammarError> {
        let checked = frames.iter().map(|frame| {
            self.expanded(&frame.text, "name")?;
            Ok((frame.text.as_ref().clone(), self.weight(frame)?))
        });
        checked.collect()
    }

    /// The steps of a wording; words not seen before become known.
    pub(super) fn steps(&mut self, pieces: &[Piece], wording: &Text) -> Result<Vec<Step>, GrammarError> {
        let mut steps = Vec::with_capacity(pieces.len());
        for piece in pieces {
            steps.push(match piece {
                Piece::Word(word) => Step::Word(self.lexicon.add(word)),
                Piece::Number(name) => Step::Number(Class::named(name).ok_or_else(|| {
                    self.fault(
                        wording.span().start,
                        format!("there is no kind of number `{{{name}}}`"),
                        format!("use {}", Class::NAMES),
                    )
                    .found_by(Check::NumberKnown)
                })?),
            });
        }
        Ok(steps)
    }
}
