//! Every wording of the automaton, one after the other.

use super::Grammar;
use super::automaton::{Automaton, FragmentId, Node, Step};

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
        let mut at = 0;
        for step in steps {
            let next = match *step {
                Step::Word(word) => self.next(at, word),
                Step::Number(class) => self
                    .number_arcs(at)
                    .find(|(known, _)| *known == class)
                    .map(|(_, next)| next),
            };
            match next {
                Some(next) => at = next,
                None => return &[],
            }
        }
        self.accepts(at)
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
