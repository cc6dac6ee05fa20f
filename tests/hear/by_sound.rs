//! The second reader: transcripts as models write them, and the sentence that was said.

use std::sync::{Arc, Mutex, OnceLock};

use couchside::grammar::Grammar;
use couchside::hear::by_sound::ByEar;
use couchside::interpret::Interpreter;
use proptest::prelude::*;

fn grammar() -> Arc<Grammar> {
    static GRAMMAR: OnceLock<Arc<Grammar>> = OnceLock::new();
    let load = || Arc::new(Grammar::carried().expect("the carried grammar is whole"));
    GRAMMAR.get_or_init(load).clone()
}

fn with_reader<T>(work: impl FnOnce(&mut ByEar) -> T) -> T {
    static READER: OnceLock<Mutex<ByEar>> = OnceLock::new();
    let reader = READER.get_or_init(|| Mutex::new(ByEar::new(grammar())));
    work(&mut reader.lock().unwrap_or_else(|poisoned| poisoned.into_inner()))
}

/// The nearest sentence means what `said` means.
fn check(transcript: &str, said: &str) {
    let nearest = with_reader(|reader| reader.read(transcript)).into_iter().next();
    let nearest = nearest.unwrap_or_else(|| panic!("nothing sounds like {transcript:?}"));
    let interpreter = Interpreter::new(grammar());
    assert_eq!(
        interpreter.peek(&nearest.text).outcome,
        interpreter.peek(said).outcome,
        "{transcript:?} was read as {:?}, {} a sound",
        nearest.text,
        nearest.distance
    );
}

#[test]
fn wrong_words_with_the_right_sounds_are_read_by_their_sounds() {
    for (transcript, said) in [
        (
            "Left, a doctor long is four plus.",
            "left adductor longus four plus",
        ),
        (
            "left to be Alice interior grade four",
            "left tibialis anterior grade four",
        ),
        ("Fatty or positive on the right", "fadir positive on the right"),
        (
            "Write hip flexion 110 degrees",
            "right hip flexion one hundred and ten degrees",
        ),
        ("Passive, 120, soft end feel.", "passive one twenty soft end feel"),
        (
            "Left hip internal rotation passive 29 pain fill.",
            "left hip internal rotation passive 29 painful",
        ),
    ] {
        check(transcript, said);
    }
}

#[test]
fn talk_sounds_like_no_sentence() {
    for talk in [
        "Let me just get a pillow for you.",
        "How was your weekend, did you manage to get out for a run?",
        "I will warm my hands up first, sorry about that.",
    ] {
        let nearest = with_reader(|reader| reader.read(talk)).into_iter().next();
        assert!(nearest.is_none_or(|nearest| nearest.distance > 0.2), "{talk}");
    }
}

#[test]
fn numbers_in_digits_mean_the_same() {
    let interpreter = Interpreter::new(grammar());
    for said in [
        "right hip flexion one hundred and ten degrees",
        "left knee extension resisted four plus",
        "right shoulder painful arc seventy to one twenty",
        "left hip abduction pain six out of ten",
        "knee flexion minus five to one thirty",
    ] {
        let digits = with_reader(|reader| reader.in_digits(said));
        assert!(digits.contains(|c: char| c.is_ascii_digit()), "{digits}");
        assert_eq!(
            interpreter.peek(&digits).outcome,
            interpreter.peek(said).outcome,
            "{digits}"
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_text_can_be_read(text in any::<String>()) {
        for sentence in with_reader(|reader| reader.read(&text)) {
            prop_assert!(sentence.distance.is_finite());
        }
    }

    #[test]
    fn a_text_sounds_like_itself_and_another_as_much_as_it_does_to_the_other(
        one in "[a-z ]{1,30}", other in "[a-z ]{1,30}"
    ) {
        let (same, there, back) = with_reader(|reader| {
            (reader.distance(&one, &one), reader.distance(&one, &other), reader.distance(&other, &one))
        });
        let (length, other_length) = with_reader(|reader| (reader.sounds(&one).len(), reader.sounds(&other).len()));
        prop_assert_eq!(same, 0.0);
        if length > 0 && other_length > 0 {
            prop_assert!((there * other_length as f32 - back * length as f32).abs() < 0.01);
        }
    }
}
