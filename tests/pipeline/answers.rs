//! What is sounded of a conversation: in sentences, in brief, and by tones.

use couchside::readback::{Answers, Sound};

use super::{grammar, heard, visit};

/// What is sounded of the last of these utterances, one answer a line.
fn check(answers: Answers, utterances: &[&str], expected: &[&str]) {
    let home = tempfile::tempdir().expect("a folder");
    let mut visit = visit(home.path());
    let mut events = Vec::new();
    for words in utterances {
        events = visit.take(&heard(words)).expect("the record can be written");
    }
    let sounded: Vec<String> = answers
        .sounds(&events, &grammar().readback.answer)
        .iter()
        .map(|sound| match sound {
            Sound::Tone(tone) => format!("tone {tone:?}"),
            Sound::Sentence(text) => (*text).to_string(),
            Sound::Count => "count".into(),
        })
        .collect();
    assert_eq!(sounded, expected, "{answers:?}: {utterances:?}");
}

const FINDING: &str = "right hip flexion active one ten";
const SAID_BACK: &str = "Right hip flexion, active, 110 degrees.";

#[test]
fn a_finding() {
    check(Answers::Sentences, &[FINDING], &[SAID_BACK]);
    check(Answers::Brief, &[FINDING], &[SAID_BACK]);
    check(Answers::Tones, &[FINDING], &["tone Heard"]);
}

#[test]
fn a_question_is_spoken_whatever_was_chosen() {
    let open = &["hip flexion active one ten"];
    check(
        Answers::Sentences,
        open,
        &["Hip flexion, active, 110 degrees. Which side?"],
    );
    check(
        Answers::Brief,
        open,
        &["Hip flexion, active, 110 degrees. Which side?"],
    );
    check(Answers::Tones, open, &["tone Asked", "Which side?"]);
    let asked_again = &["hip flexion active one ten", "confirm"];
    for answers in [Answers::Sentences, Answers::Brief, Answers::Tones] {
        check(
            answers,
            asked_again,
            &["Hip flexion, active, 110 degrees. Which side?"],
        );
    }
}

#[test]
fn what_is_done_is_said_or_sounded() {
    for (utterances, said, tone) in [
        (vec![FINDING, "confirm"], "Recorded.", "tone Recorded"),
        (vec![FINDING, "disregard"], "Dropped.", "tone Dropped"),
        (
            vec!["stand by"],
            "Not listening until you say so.",
            "tone NotListening",
        ),
        (vec!["stand by", "resume"], "Listening.", "tone Listening"),
        (
            vec!["right hip flexion two fifty"],
            "I did not understand that. Please repeat it.",
            "tone NotUnderstood",
        ),
    ] {
        check(Answers::Sentences, &utterances, &[said]);
        check(Answers::Brief, &utterances, &[tone]);
        check(Answers::Tones, &utterances, &[tone]);
    }
}

#[test]
fn what_was_asked_for_is_always_said() {
    for answers in [Answers::Sentences, Answers::Brief, Answers::Tones] {
        check(answers, &["hold"], &["count"]);
        check(answers, &["confirm"], &["Nothing is waiting."]);
        check(
            answers,
            &[FINDING, "read back"],
            &["Waiting: right hip flexion, active, 110 degrees."],
        );
        check(answers, &["it may rain later"], &[]);
    }
}
