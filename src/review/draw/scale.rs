//! Degrees → places in a picture.

/// From the lowest degrees to the highest, in round tens, over a stretch of the picture.
pub struct Scale {
    pub low: i32,
    pub high: i32,
    from: f64,
    to: f64,
}

impl Scale {
    /// One in which all of `degrees` and zero have room; `from` and `to` are where its ends are.
    pub fn of(degrees: impl Iterator<Item = i32>, from: f64, to: f64) -> Scale {
        let (low, high) = degrees.fold((0, 10), |(low, high), value| (low.min(value), high.max(value)));
        Scale {
            low: low.div_euclid(10) * 10,
            high: (high + 9).div_euclid(10) * 10,
            from,
            to,
        }
    }

    /// Where so many degrees are, to a tenth.
    pub fn at(&self, degrees: i32) -> f64 {
        let part = f64::from(degrees - self.low) / f64::from(self.high - self.low);
        ((self.from + part * (self.to - self.from)) * 10.0).round() / 10.0
    }

    /// How long so many degrees are in the picture, to a tenth.
    pub fn length(&self, degrees: f64) -> f64 {
        let part = degrees / f64::from(self.high - self.low);
        (part * (self.to - self.from).abs() * 10.0).round() / 10.0
    }

    /// Round degrees to be marked, five steps or fewer, zero among them.
    pub fn marks(&self) -> Vec<i32> {
        let step = [10, 20, 30, 45, 60, 90]
            .into_iter()
            .find(|step| (self.high - self.low) / step <= 5)
            .unwrap_or(120);
        (self.low.div_euclid(step)..=self.high / step)
            .map(|mark| mark * step)
            .filter(|mark| (self.low..=self.high).contains(mark))
            .collect()
    }
}
