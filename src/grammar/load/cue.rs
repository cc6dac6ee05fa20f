//! The therapist's cue → a wording of its own.

use super::super::automaton::Step;
use super::super::fragment::Fill;
use super::super::weight::Weight;
use super::Loader;

impl Loader<'_> {
    /// Adds the cue, if there is one.
    pub(super) fn cue(&mut self) {
        let Some(cue) = self.source.cue() else { return };
        let words = cue.split_whitespace();
        let steps: Vec<Step> = words.map(|word| Step::Word(self.lexicon.add(word))).collect();
        let fragment = self.add(Fill::Cue, "the cue");
        self.automaton.add_wording(&steps, fragment, Weight::NONE);
    }
}
