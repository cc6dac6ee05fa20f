//! The sounds of English: the phones of the CMU Pronouncing Dictionary (ARPAbet), without stress.

/// A phone: its place in [`NAMES`].
pub type Phone = u8;

/// The phones by their names.
pub const NAMES: [&str; 39] = [
    "AA", "AE", "AH", "AO", "AW", "AY", "EH", "ER", "EY", "IH", "IY", "OW", "OY", "UH", "UW", "B", "CH", "D",
    "DH", "F", "G", "HH", "JH", "K", "L", "M", "N", "NG", "P", "R", "S", "SH", "T", "TH", "V", "W", "Y", "Z",
    "ZH",
];

/// The phone with this name; a digit for the stress may follow it.
pub fn named(name: &str) -> Option<Phone> {
    let name = name.trim_end_matches(|c: char| c.is_ascii_digit());
    NAMES
        .iter()
        .position(|known| *known == name)
        .map(|at| at as Phone)
}

/// The phones of a pronunciation, separated by spaces; `Err` names what is no phone.
pub fn parse(way: &str) -> Result<Vec<Phone>, &str> {
    way.split_whitespace()
        .map(|name| named(name).ok_or(name))
        .collect()
}
