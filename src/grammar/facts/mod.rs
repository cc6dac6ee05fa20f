//! What is known of measurements, joints and signs from the literature: `grammars/facts`. Shown beside what was found, each with its source;
//! nothing here reads or judges a finding.

mod cautions;
mod fhir;
mod hints;
mod measurement_error;
mod norms;
mod sftr;

pub use cautions::{Caution, Urgency};
pub use fhir::Fhir;
pub use hints::{EndFeel, Hints, Pattern, Resisted, Said};
pub use measurement_error::{MeasurementError, PainChange, mdc95, sem_of_change};
pub use norms::{Ages, Norm};
pub use sftr::Pair;

use super::{Grammar, GrammarError, Source};

/// All of it.
#[derive(Clone, Debug, Default)]
pub struct Facts {
    pub errors: Vec<MeasurementError>,
    pub pain_change: Option<PainChange>,
    pub fhir: Fhir,
    pub cautions: Vec<Caution>,
    /// Words of a note that denies what it names.
    pub negations: Vec<String>,
    pub norms: Vec<Norm>,
    pub hints: Hints,
    /// Of neutral-zero notation.
    pub pairs: Vec<Pair>,
}

impl Facts {
    /// Reads the files.
    ///
    /// # Errors
    /// One is missing or broken.
    pub fn load(source: &Source) -> Result<Facts, GrammarError> {
        let errors: measurement_error::File = source.read(measurement_error::FILE)?;
        // What reports hold is read by those who write them; here only that it can be.
        for report in source.under("reports") {
            source.read::<toml::Table>(&report)?;
        }
        let cautions: cautions::File = source.read(cautions::FILE)?;
        Ok(Facts {
            errors: errors.error,
            pain_change: Some(errors.pain),
            fhir: source.read(fhir::FILE)?,
            cautions: cautions.caution,
            negations: cautions.negations,
            hints: source.read(hints::FILE)?,
            norms: source.read::<norms::File>(norms::FILE)?.norm,
            pairs: source.read::<sftr::File>(sftr::FILE)?.pair,
        })
    }

    /// What they name that the vocabulary does not have: the file, and the name.
    pub fn unknown(&self, grammar: &Grammar) -> Vec<(&'static str, String)> {
        let mut unknown = Vec::new();
        for error in &self.errors {
            if grammar.movement(&error.joint, &error.movement).is_none() {
                unknown.push((
                    measurement_error::FILE,
                    format!("{} {}", error.joint, error.movement),
                ));
            }
        }
        for (joint, movement) in self.fhir.movements() {
            if grammar.movement(joint, movement).is_none() {
                unknown.push((fhir::FILE, format!("{joint} {movement}")));
            }
        }
        for (joint, movement) in self.hints.movements() {
            if grammar.movement(joint, movement).is_none() {
                unknown.push((hints::FILE, format!("{joint} {movement}")));
            }
        }
        for norm in &self.norms {
            if grammar.movement(&norm.joint, &norm.movement).is_none() {
                unknown.push((norms::FILE, format!("{} {}", norm.joint, norm.movement)));
            }
        }
        for pair in &self.pairs {
            for movement in [&pair.first, &pair.last] {
                if grammar.movement(&pair.joint, movement).is_none() {
                    unknown.push((sftr::FILE, format!("{} {movement}", pair.joint)));
                }
            }
        }
        for (joint, movement, muscle, test) in self.cautions.iter().flat_map(Caution::names) {
            let movement = joint.zip(movement);
            let known = joint.is_none_or(|name| grammar.joint(name).is_some())
                && movement.is_none_or(|(joint, name)| grammar.movement(joint, name).is_some())
                && muscle.is_none_or(|name| grammar.muscle(name).is_some())
                && test.is_none_or(|name| grammar.test(name).is_some());
            if !known {
                unknown.push((
                    cautions::FILE,
                    format!("{joint:?} {movement:?} {muscle:?} {test:?}"),
                ));
            }
        }
        unknown
    }
}
