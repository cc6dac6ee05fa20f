//! Things that are given to be added and are no model: folders, wheels and other files.

use std::fs;
use std::io::Read;
use std::path::PathBuf;

use couchside::hear::model::gather::{Piece, Shelf, gather};
use couchside::hear::model::{Fault, source};

use super::synthetic::{self, Ct2};

/// Opens files with these contents and returns the message.
fn message(files: &[&[u8]]) -> String {
    let place = tempfile::tempdir().unwrap();
    let paths: Vec<PathBuf> = (1..)
        .take(files.len())
        .map(|number| place.path().join(format!("{number}")))
        .collect();
    for (path, contents) in paths.iter().zip(files) {
        fs::write(path, contents).unwrap();
    }
    let message = source::open(&paths, &mut ()).unwrap_err().to_string();
    message.replace(&format!("{}/", place.path().display()), "")
}

/// Overwrites the unpacked size of the only entry, in its own head and in the list of contents.
fn with_size(mut wheel: Vec<u8>, size: u32) -> Vec<u8> {
    let listed = wheel
        .windows(4)
        .position(|window| window == b"PK\x01\x02")
        .unwrap();
    for place in [22, listed + 24] {
        wheel[place..place + 4].copy_from_slice(&size.to_le_bytes());
    }
    wheel
}

#[test]
fn what_is_no_model_is_told_so() {
    let ggml = synthetic::ggml();
    let weights = Ct2::default().file();
    let noise = synthetic::halves("noise", 5000);
    let one = |name: &str| synthetic::wheel(&[(name, noise.as_slice())]);
    let model = synthetic::model().file();
    let beside =
        |name: &'static str, json: &[u8]| synthetic::wheel(&[("model.bin", model.as_slice()), (name, json)]);
    let bomb = synthetic::wheel(&[("model.bin", vec![0; 30_000_000].as_slice())]);
    let mut flipped = one("model.bin");
    flipped[500] ^= 0x10;
    for (name, files, expected) in [
        (
            "empty",
            vec![vec![]],
            "1 is no speech model: it is empty; give a ggml Whisper file, a CTranslate2 folder",
        ),
        (
            "text",
            vec![b"hello".to_vec()],
            "1 is no speech model: it begins like none of them; give",
        ),
        (
            "bare weights",
            vec![weights],
            "it is only the weights of a CTranslate2 model, so give the folder",
        ),
        (
            "two models",
            vec![ggml.clone(), ggml.clone()],
            "give one ggml file, or one CTranslate2 folder, or all wheels",
        ),
        (
            "ggml and a wheel",
            vec![ggml, one("model.bin")],
            "give one ggml file, or one CTranslate2 folder",
        ),
        (
            "cut off",
            vec![one("model.bin")[..3000].to_vec()],
            "the archive is damaged or was not downloaded whole (",
        ),
        (
            "only PK",
            vec![b"PK".to_vec()],
            "the archive is damaged or was not downloaded whole (",
        ),
        (
            "another package",
            vec![one("readme.txt")],
            "1 can't be used as a speech model: there is no model.bin in it",
        ),
        (
            "first part only",
            vec![one("a/model.bin.part1")],
            "its weights do not begin as those of a CTranslate2",
        ),
        (
            "second part only",
            vec![one("a/model.bin.part2")],
            "part 1 of model.bin is missing; give all the wheels",
        ),
        (
            "a part twice",
            vec![one("model.bin.part1"), one("model.bin.part1")],
            "part 1 of model.bin is there twice",
        ),
        (
            "whole and part",
            vec![one("model.bin"), one("model.bin.part1")],
            "there is more than one model.bin in it",
        ),
        ("bomb", vec![bomb], "its model.bin claims to unpack from "),
        (
            "claims 4 GB",
            vec![with_size(one("model.bin"), u32::MAX - 1)],
            "its weights claim to be 4294967294 bytes",
        ),
        (
            "claims 1 GB",
            vec![with_size(one("model.bin"), 1 << 30)],
            "bytes to 1073741824, which no model does",
        ),
        (
            "claims too much",
            vec![with_size(one("model.bin"), 11_000)],
            "it ends too early, in model.bin, so it was",
        ),
        (
            "claims too little",
            vec![with_size(one("model.bin"), 10)],
            "its model.bin can't be read (File is larger",
        ),
        ("flipped", vec![flipped], "its model.bin can't be read ("),
        (
            "no vocabulary",
            vec![beside("readme.txt", b"")],
            "there is no tokenizer.json or vocabulary.json beside its",
        ),
        (
            "empty vocabulary",
            vec![beside("tokenizer.json", b"")],
            "its tokenizer.json can't be read (",
        ),
        (
            "huge vocabulary",
            vec![beside("tokenizer.json", &vec![b' '; (16 << 20) + 1])],
            "its tokenizer.json claims to be 16777217 bytes",
        ),
        (
            "two vocabularies",
            vec![beside("tokenizer.json", b""), one("tokenizer.json")],
            "there is more than one tokenizer.json in it",
        ),
    ] {
        let files: Vec<&[u8]> = files.iter().map(Vec::as_slice).collect();
        let message = message(&files);
        assert!(message.contains(expected), "{name}: {message}");
    }
}

#[test]
fn a_folder_without_a_model_and_a_path_to_nowhere_are_told_so() {
    let place = tempfile::tempdir().unwrap();
    let open = |path: PathBuf| source::open(&[path], &mut ()).unwrap_err().to_string();
    let message = open(place.path().to_path_buf());
    assert!(
        message.contains("can't be used as a speech model: there is no model.bin in it"),
        "{message}"
    );
    let message = open(place.path().join("nowhere"));
    assert!(
        message.starts_with("could not open ") && message.contains("nowhere: "),
        "{message}"
    );
}

/// A file that grows while it is read, as one does that is still being downloaded.
struct Growing;

impl Shelf for Growing {
    fn pieces(&mut self) -> Result<Vec<Piece>, Fault> {
        Ok(vec![Piece {
            name: "model.bin".to_string(),
            index: 0,
            bytes: 5_000_000,
        }])
    }

    fn open(&mut self, _piece: &Piece) -> Result<Box<dyn Read + '_>, Fault> {
        Ok(Box::new(std::io::repeat(0)))
    }
}

#[test]
fn a_file_that_never_ends_is_left_where_it_should_have() {
    let fault = gather(&mut [Box::new(Growing) as Box<dyn Shelf>], &mut ()).unwrap_err();
    assert_eq!(fault.to_string(), "its model.bin is longer than it claims to be");
}
