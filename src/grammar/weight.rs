//! How likely a wording is beside its siblings.

use std::ops::{Add, Sub};

/// A weight in hundredths of a nat: 0 is as likely as its siblings, below 0 rarer, above 0 more common. Whole numbers,
/// so that states which weigh their ways can be compared exactly.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Weight(i32);

/// The least and the greatest weight that a grammar file may give a wording, in nats: a wording that is never meant
/// belongs out of the file, and one that always is would drown what sounds like it.
pub const BOUNDS: [f64; 2] = [-5.0, 2.0];

impl Weight {
    /// As likely as its siblings.
    pub const NONE: Weight = Weight(0);
    /// No way at all, yet.
    pub const NEVER: Weight = Weight(i32::MIN / 4);

    /// A weight in nats, to the next hundredth; `None` outside [`BOUNDS`].
    pub fn of(nats: f64) -> Option<Weight> {
        let [least, most] = BOUNDS;
        (least..=most)
            .contains(&nats)
            .then(|| Weight((nats * 100.0).round() as i32))
    }

    /// In nats.
    pub fn nats(self) -> f32 {
        self.0 as f32 / 100.0
    }

    /// As a factor, above 0; 1 is as likely as its siblings.
    pub fn factor(self) -> f64 {
        (f64::from(self.0) / 100.0).exp()
    }
}

impl Add for Weight {
    type Output = Weight;

    fn add(self, other: Weight) -> Weight {
        Weight(self.0 + other.0)
    }
}

impl Sub for Weight {
    type Output = Weight;

    fn sub(self, other: Weight) -> Weight {
        Weight(self.0 - other.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_within_the_bounds_is_a_weight() {
        assert_eq!(Weight::of(-5.0).map(Weight::nats), Some(-5.0));
        assert_eq!(Weight::of(-0.694).map(Weight::nats), Some(-0.69));
        for nats in [-5.001, 2.1, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert_eq!(Weight::of(nats), None, "{nats}");
        }
        assert!((Weight::of(-0.69).unwrap().factor() - 0.5016).abs() < 1e-4);
    }
}
