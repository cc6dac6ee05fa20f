//! What was not clear is heard a second time, and what both hearings say counts for both.

use couchside::finding::{Control, Outcome};
use couchside::hear::engine::{Ending, Transcript};
use couchside::hear::model::path_of;
use couchside::hear::{Endpointer, Heard, Hearing, Recogniser, read_wav};
use couchside::interpret::{Belief, Interpreter};

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

const FORTY: &str = "right hip flexion active forty";
const FOURTEEN: &str = "right hip flexion active fourteen";

/// The sentences in the order in which they are believed.
fn check(heard: &Heard, expected: &[&str]) {
    let belief = Belief::of("tiny.en-joints").expect("it has limits");
    let candidates = Interpreter::new(grammar()).candidates(heard, belief);
    let words: Vec<_> = candidates.iter().map(|one| one.words.as_str()).collect();
    assert_eq!(words, expected);
}

#[test]
fn the_sentence_that_both_hearings_speak_for_is_the_first() {
    let both = twice(
        &[(FOURTEEN, -1.0), (FORTY, -1.5)],
        &[(FORTY, -0.5), (FOURTEEN, -4.0)],
    );
    check(&both, &[FORTY, FOURTEEN]);
    check(&Heard { again: None, ..both }, &[FOURTEEN, FORTY]);
}

#[test]
fn of_sentences_that_one_hearing_has_each_neither_is_ahead() {
    let one_each = twice(&[(FOURTEEN, -0.5)], &[(FORTY, -3.0)]);
    check(&one_each, &[FOURTEEN, FORTY]);
    let belief = Belief::of("tiny.en-joints").expect("it has limits");
    let candidates = Interpreter::new(grammar()).candidates(&one_each, belief);
    assert_eq!(candidates[0].weight, candidates[1].weight);
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
