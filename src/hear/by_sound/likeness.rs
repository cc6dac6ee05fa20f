//! How easily one sound is taken for another.
//!
//! How much two differ follows from how they are made: vowels by where the tongue is, consonants by place, manner and voice. The places of the vowels
//! are those of the vowel chart in the Handbook of the International Phonetic Association (1999), from memory.

use crate::grammar::sounds::phones::{NAMES, Phone};

/// How a phone is made.
#[derive(Clone, Copy)]
enum Made {
    /// Where the tongue begins and ends: height (0 open, 1 close), and how far back (0 front, 1 back).
    Vowel([f32; 2], [f32; 2]),
    /// Place (0 lips to 1 throat), manner, voiced.
    Consonant(f32, Manner, bool),
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Manner {
    Stop,
    Affricate,
    Fricative,
    Nasal,
    Glide,
}

fn made(phone: Phone) -> Made {
    use Made::{Consonant, Vowel};
    use Manner::{Affricate, Fricative, Glide, Nasal, Stop};
    let still = |height, back| Vowel([height, back], [height, back]);
    match NAMES[phone as usize] {
        "AA" => still(0.0, 0.9),
        "AE" => still(0.1, 0.1),
        "AH" => still(0.4, 0.6),
        "AO" => still(0.3, 1.0),
        "AW" => Vowel([0.0, 0.6], [0.8, 0.9]),
        "AY" => Vowel([0.0, 0.6], [0.8, 0.2]),
        "EH" => still(0.4, 0.1),
        "ER" => still(0.45, 0.55),
        "EY" => Vowel([0.55, 0.1], [0.85, 0.1]),
        "IH" => still(0.8, 0.2),
        "IY" => still(1.0, 0.0),
        "OW" => Vowel([0.5, 0.8], [0.8, 0.95]),
        "OY" => Vowel([0.35, 1.0], [0.8, 0.2]),
        "UH" => still(0.8, 0.8),
        "UW" => still(1.0, 0.9),
        "B" => Consonant(0.0, Stop, true),
        "P" => Consonant(0.0, Stop, false),
        "M" => Consonant(0.0, Nasal, true),
        "W" => Consonant(0.05, Glide, true),
        "F" => Consonant(0.15, Fricative, false),
        "V" => Consonant(0.15, Fricative, true),
        "TH" => Consonant(0.3, Fricative, false),
        "DH" => Consonant(0.3, Fricative, true),
        "T" => Consonant(0.45, Stop, false),
        "D" => Consonant(0.45, Stop, true),
        "N" => Consonant(0.45, Nasal, true),
        "S" => Consonant(0.45, Fricative, false),
        "Z" => Consonant(0.45, Fricative, true),
        "L" => Consonant(0.45, Glide, true),
        "R" => Consonant(0.55, Glide, true),
        "SH" => Consonant(0.65, Fricative, false),
        "ZH" => Consonant(0.65, Fricative, true),
        "CH" => Consonant(0.6, Affricate, false),
        "JH" => Consonant(0.6, Affricate, true),
        "Y" => Consonant(0.75, Glide, true),
        "K" => Consonant(0.85, Stop, false),
        "G" => Consonant(0.85, Stop, true),
        "NG" => Consonant(0.85, Nasal, true),
        _ => Consonant(1.0, Fricative, false),
    }
}

/// What it costs to hear one phone as another: 0 for the same, up to 1 for sounds with nothing in common.
pub fn substitution(said: Phone, heard: Phone) -> f32 {
    if said == heard {
        return 0.0;
    }
    let pair = |one: &str, other: &str| {
        let (said, heard) = (NAMES[said as usize], NAMES[heard as usize]);
        (said == one && heard == other) || (said == other && heard == one)
    };
    // A glide is half a vowel.
    if pair("R", "ER") || pair("Y", "IY") || pair("W", "UW") || pair("Y", "IH") || pair("W", "UH") {
        return 0.35;
    }
    match (made(said), made(heard)) {
        (Made::Vowel(from, to), Made::Vowel(other_from, other_to)) => {
            let apart = |one: [f32; 2], other: [f32; 2]| (one[0] - other[0]).hypot(one[1] - other[1]);
            (0.15 + 0.25 * (apart(from, other_from) + apart(to, other_to))).min(0.6)
        }
        (
            Made::Consonant(place, manner, voiced),
            Made::Consonant(other_place, other_manner, other_voiced),
        ) => {
            let near = |one, other| {
                (manner == one && other_manner == other) || (manner == other && other_manner == one)
            };
            let kind = match () {
                () if manner == other_manner => 0.1,
                () if near(Manner::Stop, Manner::Affricate) || near(Manner::Fricative, Manner::Affricate) => {
                    0.3
                }
                () if near(Manner::Stop, Manner::Fricative) || near(Manner::Nasal, Manner::Glide) => 0.4,
                () => 0.55,
            };
            (kind + 0.7 * (place - other_place).abs() + if voiced == other_voiced { 0.0 } else { 0.15 })
                .min(1.0)
        }
        _ => 1.0,
    }
}

/// What it costs to leave a phone out, or to hear one that was not said: weak sounds go most easily.
pub fn gap(phone: Phone) -> f32 {
    match NAMES[phone as usize] {
        "AH" | "IH" | "HH" => 0.4,
        "R" | "T" | "D" | "Y" => 0.5,
        "ER" | "L" | "W" | "N" | "DH" => 0.6,
        _ => match made(phone) {
            Made::Vowel(..) => 0.65,
            Made::Consonant(..) => 0.75,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grammar::sounds::phones::named;

    fn cost(said: &str, heard: &str) -> f32 {
        substitution(named(said).unwrap(), named(heard).unwrap())
    }

    #[test]
    fn sounds_made_alike_are_taken_for_each_other_most_easily() {
        for (near, far) in [
            (("P", "B"), ("P", "S")),
            (("M", "N"), ("M", "K")),
            (("IH", "IY"), ("IH", "AA")),
            (("T", "D"), ("T", "AH")),
            (("S", "Z"), ("S", "M")),
        ] {
            assert!(cost(near.0, near.1) < cost(far.0, far.1), "{near:?} {far:?}");
        }
    }

    #[test]
    fn hearing_one_for_another_costs_the_same_both_ways_and_at_most_one() {
        for one in 0..NAMES.len() as Phone {
            for other in 0..NAMES.len() as Phone {
                let cost = substitution(one, other);
                assert_eq!(cost, substitution(other, one));
                assert_eq!(cost == 0.0, one == other);
                assert!(cost <= 1.0, "{one} {other} {cost}");
            }
        }
    }
}
