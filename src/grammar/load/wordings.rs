//! Wordings → paths of the automaton.

use super::super::automaton::{FragmentId, Step};
use super::super::check::Check;
use super::super::error::GrammarError;
use super::super::file::Wording;
use super::super::numbers::Class;
use super::super::pattern::{Piece, expand};
use super::Loader;

impl Loader<'_> {
    /// Every sentence of a wording that holds no number.
    pub(super) fn plain_words(&self, said: &Wording) -> Result<Vec<Vec<String>>, GrammarError> {
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

    pub(super) fn expanded(&self, wording: &Wording, value: &str) -> Result<Vec<Vec<Piece>>, GrammarError> {
        // Past the opening quote.
        let start = wording.span().start + 1;
        expand(wording.as_ref(), value).map_err(|slip| {
            self.fault(start + slip.at, slip.message, slip.remedy)
                .found_by(slip.check)
        })
    }

    /// Adds every sentence of a wording; `value` stands for `{}`. `blame` is the entry to show if one of them already
    /// means something else.
    pub(super) fn wording(
        &mut self,
        wording: &Wording,
        value: &str,
        fragment: FragmentId,
        blame: &Wording,
    ) -> Result<(), GrammarError> {
        for pieces in self.expanded(wording, value)? {
            let steps = self.steps(&pieces, wording)?;
            if let Some(other) = self.automaton.add_wording(&steps, fragment) {
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

    /// The steps of a wording; words not seen before become known.
    pub(super) fn steps(&mut self, pieces: &[Piece], wording: &Wording) -> Result<Vec<Step>, GrammarError> {
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
