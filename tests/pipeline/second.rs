//! A second model's opinion: the real model on a sample's sound, beside what was proposed from it.

use std::path::Path;

use couchside::hear::model::path_of;
use couchside::hear::{Recogniser, SAMPLE_RATE, Utterance, read_wav};
use couchside::pipeline::Second;

use super::{events, grammar, heard, lines, visit};

/// Proposes what `words` say from the sound of the sample, and then hears `rest`.
fn check(sample: &str, words: &str, rest: &[(&str, &str)]) {
    let home = tempfile::tempdir().expect("a folder");
    let model = path_of(None).expect("the model is fetched by `make model`");
    let second = Second::start(Recogniser::load(&model, grammar()).expect("the model loads"));
    let mut visit = visit(home.path()).with_second(second);
    let file = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("audio-samples")
        .join(sample);
    let samples = read_wav(&file.join("speech.wav")).expect("a sample");
    let mut first = heard(words);
    first.utterance = Utterance {
        start_s: 0.0,
        end_s: samples.len() as f64 / f64::from(SAMPLE_RATE),
        samples,
    };
    visit.take(&first).expect("the record can be written");
    for (words, expected) in rest {
        let expected: Vec<&str> = expected.lines().map(str::trim).collect();
        assert_eq!(events(&mut visit, words), expected, "after “{words}”");
    }
}

#[test]
fn where_both_agree_nothing_is_asked() {
    check(
        "right-hip-flexion-active-110",
        "right hip flexion active one ten",
        &[(
            "confirm",
            "heard
             recorded right hip flexion active: 110°
             said Recorded.",
        )],
    );
}

#[test]
fn where_they_differ_it_is_asked_before_anything_is_recorded() {
    check(
        "right-hip-flexion-active-110",
        "left hip flexion active one ten",
        &[
            (
                "confirm",
                "heard
                 said Left hip flexion, active, 110 degrees. left, or right?
                 asked left, or right?",
            ),
            (
                "right",
                "heard
                 proposed right hip flexion active: 110°
                 said Right hip flexion, active, 110 degrees.",
            ),
            (
                "confirm",
                "heard
                 recorded right hip flexion active: 110°
                 said Recorded.",
            ),
        ],
    );
}

/// Talk on the second reading is no opinion: the larger model may not have understood.
#[test]
fn a_second_model_that_reads_no_finding_says_nothing() {
    check(
        "cold-hands",
        "left hip flexion active one ten",
        &[(
            "confirm",
            "heard
             recorded left hip flexion active: 110°
             said Recorded.",
        )],
    );
}

/// A model that cannot hear the sound has no opinion either.
#[test]
fn a_second_model_that_fails_says_nothing() {
    let home = tempfile::tempdir().expect("a folder");
    let model = path_of(None).expect("the model is fetched by `make model`");
    let second = Second::start(Recogniser::load(&model, grammar()).expect("the model loads"));
    let mut visit = visit(home.path()).with_second(second);
    let mut first = heard("left hip flexion active one ten");
    first.utterance.samples = vec![f32::NAN; 16_000];
    visit.take(&first).expect("the record can be written");
    let confirmed = lines(&visit.take(&heard("confirm")).expect("the record can be written"));
    assert!(confirmed.contains(&"said Recorded.".to_string()), "{confirmed:?}");
}
