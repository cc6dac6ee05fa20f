//! The three numbers of a pair of movements: first direction, start, last direction.
//!
//! They say how far a joint goes, as an interval of signed degrees in which the last direction is positive: 15-0-120 is −15 to 120. Where
//! zero can't be reached it moves to the outside, 0-10-90: 10 to 90, and 30-10-0: −30 to −10 (sportgesundheit.eu/neutral-null-methode.html).

use std::fmt;
use std::str::FromStr;

/// How far a joint goes in a plane, in degrees. `low` is never more than `high`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Triple {
    low: i32,
    high: i32,
}

/// It is not written so.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotATriple {
    #[error("“{0}” is not three numbers, such as 15-0-120")]
    NotThree(String),
    #[error(
        "“{0}” can't be: either the 0 is in the middle, or the joint does not reach it, and the 0 stands first or last beside the smaller number"
    )]
    NoSuch(String),
}

impl Triple {
    /// From so far to so far, the last direction positive; `None` if it ends before it begins.
    pub fn new(low: i32, high: i32) -> Option<Triple> {
        (low <= high).then_some(Triple { low, high })
    }

    /// How far it goes in the first direction; negative if it does not reach neutral.
    pub fn first(self) -> i32 {
        -self.low
    }

    /// The same in the last direction.
    pub fn last(self) -> i32 {
        self.high
    }

    /// Degrees from end to end.
    pub fn arc(self) -> i32 {
        self.high - self.low
    }
}

impl fmt::Display for Triple {
    fn fmt(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Triple { low, high } = *self;
        match (low > 0, high < 0) {
            (true, _) => write!(to, "0-{low}-{high}"),
            (_, true) => write!(to, "{}-{}-0", -low, -high),
            _ => write!(to, "{}-0-{high}", -low),
        }
    }
}

impl FromStr for Triple {
    type Err = NotATriple;

    /// Numbers apart by `-`, `–` or `/`, each with or without °.
    fn from_str(text: &str) -> Result<Triple, NotATriple> {
        let numbers: Option<Vec<i32>> = text
            .split(['-', '–', '/'])
            .map(|number| {
                let digits = number.trim().trim_end_matches('°');
                let digits = digits
                    .chars()
                    .all(|digit| digit.is_ascii_digit())
                    .then_some(digits)?;
                digits.parse().ok().filter(|degrees| *degrees <= 360)
            })
            .collect();
        let Some([first, start, last]) = numbers.as_deref() else {
            return Err(NotATriple::NotThree(text.to_owned()));
        };
        let (low, high) = match (*first, *start, *last) {
            (first, 0, last) => (-first, last),
            (0, start, last) if last >= start => (start, last),
            (first, start, 0) if first >= start => (-first, -start),
            _ => return Err(NotATriple::NoSuch(text.to_owned())),
        };
        Ok(Triple { low, high })
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Worked examples: fizjoterapeuty.pl (1, 2), lexikon-orthopaedie.com (3), sportgesundheit.eu (4), a forum for naturopath training
    /// (5 to 7), de-academic.com (9), a page on the SFTR norm of the ankle (10), frage.de (11); 8, 12 and 13 follow from the rules.
    #[test]
    fn worked_examples() {
        for (written, low, high, arc) in [
            ("15-0-120", -15, 120, 135),
            ("15-0-125", -15, 125, 140),
            ("10-0-130", -10, 130, 140),
            ("0-10-90", 10, 90, 80),
            ("5-0-150", -5, 150, 155),
            ("0-20-150", 20, 150, 130),
            ("10-10-0", -10, -10, 0),
            ("0-20-20", 20, 20, 0),
            ("10-0-150", -10, 150, 160),
            ("20-0-45", -20, 45, 65),
            ("10-0-80", -10, 80, 90),
            ("0-0-0", 0, 0, 0),
            ("30-10-0", -30, -10, 20),
        ] {
            let triple: Triple = written.parse().unwrap();
            assert_eq!((triple, triple.arc()), (Triple { low, high }, arc), "{written}");
            assert_eq!(triple.to_string(), written);
            assert_eq!(written.replace('-', "°/").parse(), Ok(triple));
        }
    }

    #[test]
    fn what_is_none_is_refused() {
        for written in [
            "20-10-90",
            "0-30-20",
            "15-125",
            "-5-0-130",
            "",
            "a-0-1",
            "1-0-400",
            "10-0-20-0",
        ] {
            assert!(written.parse::<Triple>().is_err(), "{written}");
        }
    }

    proptest! {
        #[test]
        fn every_interval_is_written_in_one_way(low in -180..=180, far in 0..=180) {
            let triple = Triple::new(low, low + far).unwrap();
            prop_assert_eq!(triple.to_string().parse(), Ok(triple));
        }

        #[test]
        fn nothing_breaks_it(text in "\\PC{0,20}") {
            if let Ok(triple) = text.parse::<Triple>() {
                prop_assert_eq!(triple.to_string().parse(), Ok(triple));
            }
        }
    }
}
