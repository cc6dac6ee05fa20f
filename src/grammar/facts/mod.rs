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
        let of_errors = self
            .errors
            .iter()
            .map(|one| (measurement_error::FILE, &one.joint[..], &one.movement[..]));
        let of_norms = self
            .norms
            .iter()
            .map(|one| (norms::FILE, &one.joint[..], &one.movement[..]));
        let of_pairs = self.pairs.iter().flat_map(|pair| {
            [&pair.first, &pair.last].map(|movement| (sftr::FILE, &pair.joint[..], &movement[..]))
        });
        let of_fhir = self
            .fhir
            .movements()
            .map(|(joint, movement)| (fhir::FILE, joint, movement));
        let of_hints = self
            .hints
            .movements()
            .map(|(joint, movement)| (hints::FILE, joint, movement));
        let movements = of_errors
            .chain(of_norms)
            .chain(of_pairs)
            .chain(of_fhir)
            .chain(of_hints)
            .filter(|(_, joint, movement)| grammar.movement(joint, movement).is_none())
            .map(|(file, joint, movement)| (file, format!("{joint} {movement}")));
        let of_cautions = self.cautions.iter().flat_map(|caution| caution.unknown(grammar));
        movements
            .chain(of_cautions.map(|name| (cautions::FILE, name)))
            .collect()
    }
}
