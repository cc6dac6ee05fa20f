//! A control word acts without being said back: it is heard twice, and must have been written both times.

use couchside::finding::{Control, Outcome};
use couchside::hear::model::path_of;
use couchside::hear::{Endpointer, Heard, Recogniser, Settings, read_wav};
use couchside::interpret::Interpreter;

use super::{grammar, heard};

fn is_obeyed(heard: &Heard) -> bool {
    let outcome = Interpreter::new(grammar()).choose(heard).reading.outcome;
    matches!(
        outcome,
        Outcome::Control {
            control: Control::Disregard,
            ..
        }
    )
}

#[test]
fn a_control_word_acts_only_if_it_was_written_both_times() {
    let both = heard("disregard");
    assert!(is_obeyed(&both));
    let mut first = both.clone();
    first.free.text = "this regard".into();
    assert!(!is_obeyed(&first), "the first time something else was written");
    let mut again = both.clone();
    again.again.as_mut().expect("heard twice").text = "this regard".into();
    assert!(!is_obeyed(&again), "the second time something else was written");
    assert!(!is_obeyed(&Heard { again: None, ..both }), "heard once only");
}

#[test]
fn control_words_alone_are_heard_twice() {
    let model = path_of(Some("tiny.en-joints")).expect("the model is made by `make model`");
    let mut recogniser = Recogniser::load(&model, grammar()).expect("the model loads");
    let mut hear = |sample: &str| {
        let file = format!("audio-samples/{sample}/speech.wav");
        let mut endpointer = Endpointer::new(Settings::default());
        let mut utterances = endpointer.push(&read_wav(file.as_ref()).expect("the sample can be read"));
        utterances.extend(endpointer.finish());
        recogniser.hear(&utterances[0]).expect("it is heard")
    };
    for (sample, again) in [
        ("confirm", Some("confirm")),
        ("disregard", Some("disregard")),
        ("right-hip-flexion-active-110", None),
        ("cold-hands", None),
    ] {
        let heard = hear(sample).again;
        assert_eq!(heard.as_ref().map(|again| again.text.trim()), again, "{sample}");
    }
}
