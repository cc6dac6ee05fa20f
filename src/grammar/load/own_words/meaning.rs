//! What a therapist's own words stand for: the meaning of something that the grammar knows already.

use super::super::super::automaton::{FragmentId, Step};
use super::super::super::error::GrammarError;
use super::super::super::fragment::{Fill, Fragment};
use super::super::super::numbers::Class;
use super::super::super::own_words::Addition;
use super::super::super::pattern::Piece;
use super::super::Loader;
use super::position;

/// What an addition stands for.
pub(super) struct Meaning {
    pub fragments: Vec<FragmentId>,
    /// The wording that the new one takes the place of, in every frame around it.
    pub core: Vec<Step>,
}

/// How alike two names must be for one to be meant by the other, 0 to 1.
const NEAR: f64 = 0.85;

impl Loader<'_> {
    /// What `means` names: a wording, the name of a value, or a joint with one of its movements.
    pub(super) fn meaning(&mut self, addition: &Addition) -> Result<Meaning, GrammarError> {
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
            place: None,
            with_result: false,
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

    /// The steps of a wording whose words are all known.
    fn known_steps(&self, pieces: &[Piece]) -> Option<Vec<Step>> {
        let step = |piece: &Piece| match piece {
            Piece::Word(word) => self.lexicon.number(word).map(Step::Word),
            Piece::Number(name) => Class::named(name).map(Step::Number),
        };
        pieces.iter().map(step).collect()
    }
}
