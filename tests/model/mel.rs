//! The mel filterbank is librosa's, bit for bit.

use couchside::hear::model::digest::digest;
use couchside::hear::model::mel_filters::{FREQUENCIES, mel_filters};
use serde::Deserialize;

#[derive(Deserialize)]
struct Librosa {
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    bands: u32,
    sha256: String,
    /// Band, frequency, value.
    values: Vec<(usize, usize, f32)>,
}

#[test]
fn the_filterbank_is_the_one_of_librosa() {
    let librosa: Librosa = serde_json::from_str(include_str!("mel_librosa.json")).unwrap();
    for case in librosa.cases {
        let filters = mel_filters(case.bands);
        for (band, frequency, value) in case.values {
            let found = filters[band * FREQUENCIES + frequency];
            assert_eq!(
                found.to_bits(),
                value.to_bits(),
                "band {band} of {}, frequency {frequency}",
                case.bands
            );
        }
        let bytes: Vec<u8> = filters.iter().flat_map(|value| value.to_le_bytes()).collect();
        assert_eq!(
            digest(&mut bytes.as_slice(), &mut ()).unwrap().sha256,
            case.sha256,
            "{} bands",
            case.bands
        );
    }
}
