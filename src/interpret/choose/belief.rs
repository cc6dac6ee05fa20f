//! How sure a reading is, and how sure it has to be: fitted for each model on speech with a known truth.
//!
//! The probability that a reading is right is a logistic function of its evidence (logistic regression: Cox, The
//! regression analysis of binary sequences, Journal of the Royal Statistical Society B 20, 1958). `make calibrate` fits
//! the weights and limits of `models-readme/beliefs.toml`.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use serde::Deserialize;

use super::evidence::Evidence;

static FILE: &str = include_str!("../../../models-readme/beliefs.toml");

/// The weights and limits of one model.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Belief {
    /// What the distance of all sounds together counts against a sentence's log-probability, in nats for each unit.
    pub by_ear: f32,
    /// Probability from which a finding is taken.
    pub take: f32,
    /// Probability from which a control word that acts at once is obeyed.
    pub obey: f32,
    /// Probability from which what was not taken is asked for again.
    pub ask: f32,
    /// A sentence that says something else and is behind by less than this, in nats, makes the fields doubtful in
    /// which it differs.
    pub doubt: f32,
    /// The constant of the logistic function.
    pub constant: f32,
    pub weights: Evidence,
}

impl Belief {
    /// That of the model with this name; an unknown one is believed like the default model.
    pub fn of(model: &str) -> Option<&'static Belief> {
        let all = all();
        all.get(model).or_else(|| all.get("tiny.en"))
    }

    /// The probability, 0 to 1, that a reading with this evidence is right; `shift` is how much more this therapist's are
    /// believed, in nats.
    pub fn right(&self, evidence: &Evidence, shift: f32) -> f32 {
        1.0 / (1.0 + (-(self.constant + evidence.weighed(&self.weights) + shift)).exp())
    }
}

fn all() -> &'static BTreeMap<String, Belief> {
    static ALL: OnceLock<BTreeMap<String, Belief>> = OnceLock::new();
    // The file is part of the program, and a test reads it: it cannot be damaged.
    ALL.get_or_init(|| toml::from_str(FILE).unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_model_that_is_offered_has_its_limits() {
        for model in ["tiny.en", "tiny.en-joints", "base"] {
            let belief = all().get(model).unwrap();
            for limit in [belief.take, belief.obey, belief.ask] {
                assert!((0.0..=1.0).contains(&limit), "{model}: {limit}");
            }
            assert!(belief.ask <= belief.take && belief.take <= belief.obey, "{model}");
            assert!(belief.by_ear >= 0.0 && belief.doubt >= 0.0, "{model}");
        }
    }

    #[test]
    fn what_fits_better_is_believed_more() {
        let belief = Belief::of("tiny.en").unwrap();
        let good = Evidence {
            lead: 8.0,
            agreed: 1.0,
            ..Evidence::default()
        };
        let bad = Evidence {
            bend: -2.5,
            worst_bend: -9.0,
            distance: 0.3,
            ..Evidence::default()
        };
        assert!(belief.right(&good, 0.0) > 0.9);
        assert!(belief.right(&bad, 0.0) < 0.3);
    }
}
