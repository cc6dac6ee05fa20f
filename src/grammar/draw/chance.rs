//! Numbers that look random and are the same for the same seed, on every machine and in every later version.

/// SplitMix64 (Steele, Lea & Flood 2014, Fast splittable pseudorandom number generators).
#[derive(Clone, Debug)]
pub(super) struct Chance(u64);

impl Chance {
    pub(super) fn new(seed: u64) -> Chance {
        Chance(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// One of `count` numbers from 0; 0 if there is none.
    pub(super) fn below(&mut self, count: usize) -> usize {
        ((u128::from(self.next()) * count as u128) >> 64) as usize
    }

    /// True so many times in a hundred.
    pub(super) fn percent(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    /// One of the choices, each as often as its weight says.
    pub(super) fn weighted<T: Copy>(&mut self, choices: &[(usize, T)]) -> Option<T> {
        let total = choices.iter().map(|choice| choice.0).sum();
        let mut at = self.below(total);
        choices
            .iter()
            .find(|(weight, _)| {
                let here = at < *weight;
                at = at.saturating_sub(*weight);
                here
            })
            .map(|choice| choice.1)
    }

    /// One of the items, the earlier the likelier: the first is said three times as often as the third.
    pub(super) fn early<'a, T>(&mut self, items: &'a [T]) -> Option<&'a T> {
        const WEIGHT: usize = 60_000;
        let weights: Vec<(usize, usize)> = (0..items.len()).map(|at| (WEIGHT / (at + 1), at)).collect();
        self.weighted(&weights).map(|at| &items[at])
    }

    /// The items in another order.
    pub(super) fn shuffle<T>(&mut self, items: &mut [T]) {
        for at in (1..items.len()).rev() {
            items.swap(at, self.below(at + 1));
        }
    }
}
