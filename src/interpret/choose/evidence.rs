//! What speaks for a sentence and against it, in numbers.

use serde::{Deserialize, Serialize};

/// What the readers say of the best sentence of an utterance.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Evidence {
    /// How much less likely a token is on the mean than what the model would freely write, in nats; at most 0.
    pub bend: f32,
    /// The same of the worst token, not below −12.
    pub worst_bend: f32,
    /// The same of the end: bent, if something was said after it.
    pub end_bend: f32,
    /// How far its sounds are from those of the free transcript, for each sound; 0 and up.
    pub distance: f32,
    /// How much more speaks for it than for the best sentence that says something else, in nats, at most 8.
    pub lead: f32,
    /// 1 if the free transcript says the same, 0 if it says something else or nothing.
    pub agreed: f32,
    /// Sounds of the free transcript in units of 30.
    pub length: f32,
}

impl Evidence {
    /// The sum of each number with its weight.
    pub fn weighed(&self, weights: &Evidence) -> f32 {
        let pairs = [
            (self.bend, weights.bend),
            (self.worst_bend, weights.worst_bend),
            (self.end_bend, weights.end_bend),
            (self.distance, weights.distance),
            (self.lead, weights.lead),
            (self.agreed, weights.agreed),
            (self.length, weights.length),
        ];
        pairs.iter().map(|(value, weight)| value * weight).sum()
    }
}
