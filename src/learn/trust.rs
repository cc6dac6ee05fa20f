//! How much less this therapist's dictation is believed than that of the voices that the limits were fitted to.
//!
//! The belief in a reading is a logistic function; this moves its constant by what became of the readings so far: the
//! likeliest shift, given a normal prior around none (logistic regression with an offset, fitted by Newton's method).

use serde::{Deserialize, Serialize};

/// What became of readings: how likely each was held to be right, and whether it was confirmed.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Trust {
    /// Log-odds of the belief, the oldest first.
    #[serde(default)]
    confirmed: Vec<f32>,
    #[serde(default)]
    not_confirmed: Vec<f32>,
}

/// Readings that are remembered, of each kind; the oldest are forgotten.
const MOST: usize = 400;
/// Readings before anything is concluded from them.
const LEAST: usize = 30;
/// Standard deviation of the prior, in nats: how much therapists are expected to differ.
const SPREAD: f64 = 0.7;
/// The most that is believed more, in nats: nothing. Asking again is cheap, and a wrong finding that was confirmed unheard would
/// teach the program to take more of the kind: on voices that nothing was fitted to, more were right and more silently wrong.
const MOST_MORE: f64 = 0.0;
/// No belief counts beyond these log-odds.
const CERTAIN: f32 = 12.0;

impl Trust {
    /// Takes note of a reading that was held to be right with the probability `belief`.
    pub fn saw(&mut self, belief: f32, confirmed: bool) {
        let odds = (belief / (1.0 - belief)).ln().clamp(-CERTAIN, CERTAIN);
        let seen = match confirmed {
            true => &mut self.confirmed,
            false => &mut self.not_confirmed,
        };
        if !odds.is_nan() {
            seen.push(odds);
        }
        if seen.len() > MOST {
            seen.remove(0);
        }
    }

    /// Nats to add to the log-odds of every belief; 0 until enough was seen.
    pub fn shift(&self) -> f32 {
        if self.confirmed.len() + self.not_confirmed.len() < LEAST {
            return 0.0;
        }
        let mut shift = 0.0_f64;
        for _ in 0..30 {
            let right = |odds: &f32| 1.0 / (1.0 + (-(f64::from(*odds) + shift)).exp());
            let mut slope = -shift / (SPREAD * SPREAD);
            let mut bend = -1.0 / (SPREAD * SPREAD);
            for (seen, was) in [(&self.confirmed, 1.0), (&self.not_confirmed, 0.0)] {
                for odds in seen {
                    let right = right(odds);
                    slope += was - right;
                    bend -= right * (1.0 - right);
                }
            }
            shift -= slope / bend;
        }
        shift.min(MOST_MORE) as f32
    }

    /// How many readings were confirmed, and how many not.
    pub fn counts(&self) -> (usize, usize) {
        (self.confirmed.len(), self.not_confirmed.len())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn after(belief: f32, confirmed: usize, not: usize) -> f32 {
        let mut trust = Trust::default();
        (0..confirmed).for_each(|_| trust.saw(belief, true));
        (0..not).for_each(|_| trust.saw(belief, false));
        trust.shift()
    }

    #[test]
    fn belief_follows_what_was_confirmed() {
        assert_eq!(after(0.9, 29, 0), 0.0, "too few");
        assert!(after(0.9, 90, 10).abs() < 0.05, "as believed");
        assert!(after(0.9, 60, 40) < -0.9, "wrong more often");
        assert_eq!(after(0.9, 400, 0), 0.0, "never more than was fitted");
        assert!(after(1.0, 30, 10).is_finite() && after(0.0, 30, 10).is_finite());
    }

    /// Against the same shift by another method: the slope of the log-likelihood with its prior is 0 there.
    #[test]
    fn the_shift_is_the_likeliest() {
        let shift = f64::from(after(0.8, 50, 30));
        let likelihood = |shift: f64| {
            let odds = (0.8_f64 / 0.2).ln() + shift;
            let right = 1.0 / (1.0 + (-odds).exp());
            50.0 * right.ln() + 30.0 * (1.0 - right).ln() - shift * shift / (2.0 * SPREAD * SPREAD)
        };
        let best = (-3000..1000).map(|at| f64::from(at) / 1000.0);
        let best = best
            .max_by(|a, b| likelihood(*a).total_cmp(&likelihood(*b)))
            .unwrap_or(9.0);
        assert!((best - shift).abs() < 0.002, "{best} {shift}");
    }
}
