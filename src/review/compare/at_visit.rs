//! What was measured at one visit: each movement and mode, or muscle, with all its trials.

use super::sides::Trial;
use crate::finding::{Finding, Kind, Side};
use crate::grammar::Grammar;
use crate::record::Visit;

/// One movement and mode, or one muscle.
pub struct Examined<'a> {
    /// The first finding of it.
    pub finding: &'a Finding,
    /// How the client lay or sat, if that was said.
    pub position: Option<&'a str>,
    /// Of left, right and no side, in the order in which they were found.
    pub trials: [Vec<Trial>; 3],
}

impl Examined<'_> {
    /// Whether the same is measured.
    pub fn is_same(&self, other: &Examined<'_>) -> bool {
        let (one, two) = (self.finding, other.finding);
        one.joint == two.joint
            && one.movement == two.movement
            && one.muscle == two.muscle
            && one.mode == two.mode
            && self.position == other.position
    }
}

/// What was measured at a visit, in the order in which it was first.
pub fn at_visit<'a>(grammar: &Grammar, visit: &'a Visit) -> Vec<Examined<'a>> {
    let mut all: Vec<Examined> = Vec::new();
    for kept in &visit.findings {
        let finding = &kept.finding;
        let trial = Trial {
            finding: kept.id,
            at: kept.at.clone(),
            degrees: finding.degrees.as_ref().map(|degrees| degrees.to),
            strength: finding.strength.clone(),
            pain_score: finding.pain.as_ref().and_then(|pain| pain.score),
        };
        let measured = matches!(finding.kind, Kind::Movement | Kind::Muscle)
            && (trial.degrees.is_some() || trial.strength.is_some() || trial.pain_score.is_some());
        if !measured {
            continue;
        }
        let position = finding
            .signs
            .iter()
            .find(|sign| grammar.positions.contains(*sign));
        let examined = Examined {
            finding,
            position: position.map(String::as_str),
            trials: Default::default(),
        };
        let place = all
            .iter()
            .position(|one| one.is_same(&examined))
            .unwrap_or_else(|| {
                all.push(examined);
                all.len() - 1
            });
        let sides: &[usize] = match finding.side {
            Some(Side::Left) => &[0],
            Some(Side::Right) => &[1],
            Some(Side::Both) => &[0, 1],
            None => &[2],
        };
        for side in sides {
            all[place].trials[*side].push(trial.clone());
        }
    }
    all
}
