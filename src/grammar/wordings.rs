//! Every wording of the automaton, one after the other.

use super::Grammar;
use super::automaton::{Automaton, FragmentId, Node, Step};
use super::weight::Weight;

impl Automaton {
    /// Calls `each` with every wording and the fragments that it stands for, in the order of the trie.
    pub fn wordings(&self, mut each: impl FnMut(&[Step], &[FragmentId])) {
        self.below(0, &mut Vec::new(), &mut each);
    }

    fn below(&self, node: Node, steps: &mut Vec<Step>, each: &mut impl FnMut(&[Step], &[FragmentId])) {
        if !self.accepts(node).is_empty() {
            each(steps, self.accepts(node));
        }
        let words = self.arcs(node).map(|(word, next)| (Step::Word(word), next));
        let numbers = self
            .number_arcs(node)
            .map(|(class, next)| (Step::Number(class), next));
        for (step, next) in words.chain(numbers) {
            steps.push(step);
            self.below(next, steps, each);
            steps.pop();
        }
    }

    /// The fragments that exactly these steps stand for.
    pub fn meaning(&self, steps: &[Step]) -> &[FragmentId] {
        self.node(steps).map_or(&[], |node| self.accepts(node))
    }

    /// The weight of exactly these steps; [`Weight::NEVER`] if they are no wording.
    pub fn weight(&self, steps: &[Step]) -> Weight {
        self.node(steps)
            .map_or(Weight::NEVER, |node| self.weight_at(node))
    }

    fn node(&self, steps: &[Step]) -> Option<Node> {
        let mut at = 0;
        for step in steps {
            at = match *step {
                Step::Word(word) => self.next(at, word),
                Step::Number(class) => self
                    .number_arcs(at)
                    .find(|(known, _)| *known == class)
                    .map(|(_, next)| next),
            }?;
        }
        Some(at)
    }
}

impl Grammar {
    /// A wording as a grammar file writes it: words, and numbers in braces.
    pub fn written(&self, steps: &[Step]) -> String {
        let step = |step: &Step| match step {
            Step::Word(word) => self.lexicon.word(*word).to_string(),
            Step::Number(class) => format!("{{{}}}", class.name()),
        };
        steps.iter().map(step).collect::<Vec<_>>().join(" ")
    }
}
