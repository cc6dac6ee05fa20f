//! What was not clear is heard a second time, and what both hearings say counts for both.

use couchside::finding::{Control, Outcome};
use couchside::hear::engine::{Ending, Transcript};
use couchside::hear::model::path_of;
use couchside::hear::{Endpointer, Heard, Hearing, Recogniser, read_wav};
use couchside::interpret::Interpreter;

use super::{grammar, heard};

/// What a second hearing wrote, and the sentences that it found, each with its score.
fn hearing(free: &str, sentences: &[(&str, f32)]) -> Hearing {
    let plain = heard(free);
    let sentence = |(text, score): &(&str, f32)| couchside::hear::search::Hypothesis {
        text: (*text).into(),
        score: *score,
        ..plain.sentences[0].clone()
    };
    Hearing {
        free: Transcript {
            text: free.into(),
            tokens: Vec::new(),
            log_probabilities: Vec::new(),
            ending: Ending::Heard,
        },
        sentences: sentences.iter().map(sentence).collect(),
        no_speech: 0.0,
        sounds: 30,
    }
}

fn twice(first: &[(&str, f32)], again: &[(&str, f32)]) -> Heard {
    Heard {
        sentences: hearing("", first).sentences,
        again: Some(hearing(again[0].0, again)),
        model: "tiny.en-joints".into(),
        ..heard(first[0].0)
    }
}

#[test]
fn the_sentence_that_both_hearings_speak_for_is_the_first() {
    let (forty, fourteen) = (
        "right hip flexion active forty",
        "right hip flexion active fourteen",
    );
    // By the first hearing alone it would be fourteen.
    let one = twice(
        &[(fourteen, -1.0), (forty, -1.5)],
        &[(forty, -0.5), (fourteen, -4.0)],
    );
    let interpreter = Interpreter::new(grammar());
    let understood = interpreter.choose(&one);
    assert_eq!(understood.words, forty);
    let alone = Heard { again: None, ..one };
    assert_eq!(interpreter.choose(&alone).words, fourteen);
}

#[test]
fn a_sentence_that_only_the_second_hearing_has_is_looked_at_too() {
    let one = twice(
        &[("right hip flexion active fourteen", -9.0)],
        &[("right hip flexion active forty", -0.2)],
    );
    let candidates = Interpreter::new(grammar()).candidates(
        &one,
        couchside::interpret::Belief::of("tiny.en-joints").expect("it has limits"),
    );
    let words: Vec<_> = candidates.iter().map(|one| one.words.as_str()).collect();
    assert_eq!(words, ["right hip flexion active forty", "right hip flexion active fourteen"]);
}

#[test]
fn a_control_word_acts_only_if_it_was_written_both_times() {
    let interpreter = Interpreter::new(grammar());
    let control = |heard: &Heard| {
        matches!(
            interpreter.choose(heard).reading.outcome,
            Outcome::Control {
                control: Control::Disregard,
                ..
            }
        )
    };
    let both = twice(&[("disregard", -0.1)], &[("disregard", -0.1)]);
    assert!(control(&both));
    let mut once = both.clone();
    once.again.as_mut().expect("heard twice").free.text = "this regard".into();
    assert!(!control(&once), "the second time something else was written");
    let mut other = both;
    other.free.text = "this regard".into();
    assert!(!control(&other), "the first time something else was written");
}

#[test]
fn what_is_clear_is_heard_once_and_control_words_always_twice() {
    let model = path_of(Some("tiny.en-joints")).expect("the model is made by `make model`");
    let mut recogniser = Recogniser::load(&model, grammar()).expect("the model loads");
    let mut hear = |sample: &str| {
        let file = format!("audio-samples/{sample}/speech.wav");
        let mut endpointer = Endpointer::new(Default::default());
        let mut utterances = endpointer.push(&read_wav(file.as_ref()).expect("the sample can be read"));
        utterances.extend(endpointer.finish());
        recogniser.hear(&utterances[0]).expect("it is heard")
    };
    assert!(hear("right-hip-flexion-active-110").again.is_none(), "it is clear");
    let confirm = hear("confirm");
    let again = confirm.again.expect("a control word is heard twice");
    assert_eq!(again.free.text.trim(), "confirm");
    assert!(hear("cold-hands").again.is_none(), "talk is no dictation");
}
