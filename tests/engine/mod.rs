//! The engine against the real model: what its scores promise, and what it must survive.
//!
//! `go_forward_ten_meters.wav` is goforward.raw of the PocketSphinx test data (BSD licence, Carnegie Mellon
//! University), a person saying "go forward ten meters".

use std::path::{Path, PathBuf};

use couchside::hear::engine::{Ending, Engine, EngineError, Token, Window};

/// The smallest model's file, which the tests cannot do without.
fn model() -> PathBuf {
    let folder = std::env::var_os("COUCHSIDE_MODELS")
        .map(PathBuf::from)
        .or_else(|| {
            let folders = directories::ProjectDirs::from("", "", "couchside")?;
            Some(folders.data_dir().join("models"))
        });
    let path = folder.expect("a home folder").join("ggml-tiny.en.bin");
    assert!(
        path.exists(),
        "there is no {}: run make model first",
        path.display()
    );
    path
}

fn engine() -> Engine {
    Engine::load(&model()).expect("the model loads")
}

fn speech() -> Vec<f32> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/engine/go_forward_ten_meters.wav");
    let mut wav = hound::WavReader::open(path).expect("the sample opens");
    wav.samples::<i16>()
        .map(|sample| f32::from(sample.expect("a sample")) / 32768.0)
        .collect()
}

fn silence(seconds: f32) -> Vec<f32> {
    vec![0.0; (seconds * 16_000.0) as usize]
}

/// White noise about 30 dB below full scale, the same every time (Knuth's MMIX congruential generator).
fn noise(seconds: f32) -> Vec<f32> {
    let mut state: u64 = 7;
    let mut next = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((state >> 40) as f32 / (1 << 23) as f32 - 1.0) * 0.05
    };
    silence(seconds).iter().map(|_| next()).collect()
}

fn best(scores: &[f32]) -> Token {
    (0..)
        .zip(scores)
        .max_by(|a, b| a.1.total_cmp(b.1))
        .expect("scores")
        .0
}

#[test]
fn scores_are_probabilities_of_text_and_its_end_alone() {
    let mut engine = engine();
    engine.encode(&speech(), Window::Fitted).unwrap();
    let end = engine.vocabulary().end_of_text() as usize;
    for prefix in [&[][..], &[1514], &[1514, 2651]] {
        let scores = engine.scores(prefix).unwrap();
        let sum: f64 = scores.iter().map(|score| f64::from(*score).exp()).sum();
        assert!((sum - 1.0).abs() < 1e-4, "{prefix:?} sums to {sum}");
        assert!(scores[..=end].iter().all(|score| score.is_finite()));
        assert!(scores[end + 1..].iter().all(|score| *score == f32::NEG_INFINITY));
    }
}

#[test]
fn going_back_gives_the_scores_of_a_fresh_pass() {
    let mut engine = engine();
    engine.encode(&speech(), Window::Fitted).unwrap();
    let heard = engine.transcribe(20).unwrap().tokens;
    assert!(heard.len() >= 4, "{heard:?}");
    let fork: Vec<Token> = heard[..2].iter().chain(&heard[3..4]).copied().collect();
    engine.scores(&heard).unwrap();
    let (back, forked) = (
        engine.scores(&heard[..2]).unwrap().to_vec(),
        engine.scores(&fork).unwrap().to_vec(),
    );
    engine.start();
    let fresh = engine.scores(&heard[..2]).unwrap().to_vec();
    assert_near(&back, &fresh);
    engine.start();
    assert_near(&forked, engine.scores(&fork).unwrap());
}

/// The likely tokens' scores differ by rounding alone: a batch of tokens goes through other kernels than one.
fn assert_near(one: &[f32], other: &[f32]) {
    let apart = one
        .iter()
        .zip(other)
        .filter(|(a, _)| **a > -10.0)
        .map(|(a, b)| (a - b).abs());
    let apart = apart.fold(0.0, f32::max);
    println!("largest difference {apart}");
    assert!(apart < 0.02, "log-probabilities differ by {apart}");
}

#[test]
fn the_same_question_twice_has_the_same_answer() {
    let mut engine = engine();
    engine.encode(&speech(), Window::Fitted).unwrap();
    let first = engine.scores(&[1514]).unwrap().to_vec();
    assert_eq!(first, engine.scores(&[1514]).unwrap());
    engine.no_speech().unwrap();
    assert_near(&first, engine.scores(&[1514]).unwrap());
}

#[test]
fn the_same_questions_in_the_same_order_have_the_same_answers_to_the_bit() {
    let mut engine = engine();
    let mut ask = || {
        engine.encode(&speech(), Window::Fitted).unwrap();
        let prefixes: [&[Token]; 4] = [&[], &[1514, 2651, 257], &[1514], &[1514, 3838, 257]];
        prefixes.map(|prefix| engine.scores(prefix).unwrap().to_vec())
    };
    assert!(ask() == ask());
}

#[test]
fn both_windows_hear_the_words() {
    let mut engine = engine();
    for window in [Window::Fitted, Window::Full] {
        engine.encode(&speech(), window).unwrap();
        let heard = engine.transcribe(100).unwrap();
        let words = heard.text.to_lowercase().replace("10", "ten");
        assert!(
            words.starts_with("go forward ten meters"),
            "{window:?}: {}",
            heard.text
        );
        assert_eq!(heard.tokens.len(), heard.log_probabilities.len());
        assert_eq!(heard.ending, Ending::Heard);
    }
}

#[test]
fn silence_and_noise_are_known_for_no_speech() {
    let mut engine = engine();
    let mut no_speech = |samples: &[f32]| {
        engine.encode(samples, Window::Fitted).unwrap();
        engine.no_speech().unwrap()
    };
    let (still, hiss, talk) = (
        no_speech(&silence(3.0)),
        no_speech(&noise(3.0)),
        no_speech(&speech()),
    );
    println!("silence {still}, noise {hiss}, speech {talk}");
    assert!(
        still > 0.5 && hiss > 0.5 && talk < 0.1,
        "silence {still}, noise {hiss}, speech {talk}"
    );
}

#[test]
fn nothing_makes_it_run_away() {
    let mut engine = engine();
    let clip = speech()[16_000..22_400].to_vec();
    for (name, samples) in [
        ("clip", clip),
        ("nothing", vec![]),
        ("silence", silence(5.0)),
        ("noise", noise(28.0)),
    ] {
        for window in [Window::Fitted, Window::Full] {
            engine.encode(&samples, window).unwrap();
            let heard = engine.transcribe(usize::MAX).unwrap();
            println!("{name} {window:?}: {:?} {}", heard.ending, heard.text);
            assert!(
                heard.tokens.len() <= samples.len() / 2000 + 12,
                "{name} {window:?}: {}",
                heard.text
            );
        }
    }
}

#[test]
fn the_vocabulary_spells_the_tokens() {
    let engine = engine();
    let vocabulary = engine.vocabulary();
    assert!(!vocabulary.is_multilingual());
    assert_eq!((vocabulary.n_text(), vocabulary.end_of_text()), (50_256, 50_256));
    assert_eq!(vocabulary.prompt(), [50_257, 50_362]);
    assert_eq!(vocabulary.bytes(vocabulary.end_of_text()), b"");
    assert_eq!(vocabulary.bytes(-1), b"");
    let all: std::collections::HashMap<&[u8], Token> = vocabulary
        .text_tokens()
        .map(|(token, bytes)| (bytes, token))
        .collect();
    assert_eq!(all.len(), vocabulary.n_text(), "every token is spelt differently");
    assert_eq!(
        engine.words(&[all[&b" right"[..]], all[&b" hip"[..]]]),
        " right hip"
    );
    assert!(
        (0..=255).all(|byte: u8| all.contains_key(&[byte][..])),
        "every byte can be spelt"
    );
}

#[test]
fn it_works_again_after_every_error() {
    let mut engine = engine();
    assert!(matches!(engine.scores(&[]), Err(EngineError::NoSound)));
    assert!(matches!(engine.no_speech(), Err(EngineError::NoSound)));
    assert!(matches!(engine.transcribe(9), Err(EngineError::NoSound)));
    assert!(matches!(
        engine.encode(&silence(30.1), Window::Full),
        Err(EngineError::TooLong { .. })
    ));
    engine.encode(&speech(), Window::Fitted).unwrap();
    let first = best(engine.scores(&[]).unwrap());
    let end = engine.vocabulary().end_of_text();
    for wrong in [-1, end, end + 1, Token::MAX] {
        assert!(matches!(engine.scores(&[wrong]), Err(EngineError::UnknownToken(token)) if token == wrong));
    }
    assert!(matches!(
        engine.scores(&[1; 447]),
        Err(EngineError::PhraseTooLong {
            tokens: 449,
            limit: 448
        })
    ));
    assert_eq!(best(engine.scores(&[]).unwrap()), first);
    engine.scores(&[1; 446]).unwrap();
    assert_eq!(best(engine.scores(&[]).unwrap()), first);
    let mut damaged = speech();
    damaged[100] = f32::NAN;
    assert!(matches!(
        engine.encode(&damaged, Window::Full),
        Err(EngineError::NotSound { at: 100 })
    ));
    assert!(matches!(engine.scores(&[]), Err(EngineError::NoSound)));
    engine.encode(&speech(), Window::Fitted).unwrap();
    assert_eq!(best(engine.scores(&[]).unwrap()), first);
    engine
        .encode(&vec![f32::MAX; 16_000], Window::Fitted)
        .unwrap_or_default();
    engine.encode(&noise(30.0), Window::Fitted).unwrap();
    engine.transcribe(3).unwrap();
}

#[test]
fn a_file_that_is_no_whole_model_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("model.bin");
    let refused = |bytes: &[u8]| {
        std::fs::write(&path, bytes).unwrap();
        Engine::load(&path).err().expect("a refusal").to_string()
    };
    assert!(refused(b"").contains("is damaged or no Whisper model (it is empty); run `make model`"));
    assert!(refused(b"RIFF????WAVEfmt ").contains("it does not begin as a ggml Whisper file does"));
    let whole = std::fs::read(model()).unwrap();
    for length in [40, 60_000, 700_000, 20_000_001, whole.len() - 1] {
        assert!(
            refused(&whole[..length]).contains("it ends too early"),
            "{length} bytes"
        );
    }
    let mut foreign = whole[..2000].to_vec();
    foreign[12] = 5;
    assert!(refused(&foreign).contains("no Whisper model has 261 columns"));
    let mut ends_early = whole;
    ends_early.truncate(ends_early.len() - (4 * 384 + 12 + 4 + "encoder.ln_post.bias".len()));
    assert!(refused(&ends_early).contains("the weight encoder.ln_post.bias is missing"));
    let nowhere = Engine::load(&folder.path().join("none.bin"))
        .err()
        .unwrap()
        .to_string();
    assert!(nowhere.contains("run `make model` first"), "{nowhere}");
    let a_folder = Engine::load(folder.path()).err().unwrap().to_string();
    assert!(a_folder.contains("could not read the speech model"), "{a_folder}");
}

#[test]
fn the_engine_can_move_to_another_thread() {
    let mut engine = engine();
    let worker = std::thread::spawn(move || {
        engine.encode(&speech(), Window::Fitted).unwrap();
        engine.transcribe(100).unwrap().text
    });
    assert!(worker.join().unwrap().to_lowercase().contains("forward"));
}
