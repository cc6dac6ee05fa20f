//! How much of an utterance has been said when somebody pauses.

use couchside::interpret::{Interpreter, Standing};

use super::{grammar, heard};

/// After each of these lines, with nothing said before, so much has been said.
fn check(standing: Standing, lines: &[&str]) {
    let interpreter = Interpreter::new(grammar());
    for line in lines {
        assert_eq!(interpreter.standing(&heard(line)), standing, "{line}");
    }
}

#[test]
fn nothing_is_missing() {
    check(
        Standing::Whole,
        &[
            "right hip flexion active one hundred and ten degrees",
            "right hip flexion active 110",
            "left hip abduction resisted four plus",
            "right knee flexion passive one forty soft end feel",
            "right hip flexion active one ten passive one fifteen",
            "left knee flexion active eighty six",
        ],
    );
}

#[test]
fn a_number_may_go_on() {
    check(
        Standing::MayGoOn,
        &[
            "right hip flexion active ninety",
            "right hip flexion active 90",
            "right hip flexion active one hundred",
            "left knee flexion passive one hundred and twenty",
        ],
    );
}

#[test]
fn what_acts_at_once_may_be_the_beginning_of_talk() {
    check(
        Standing::MayGoOn,
        &["confirm", "disregard", "say again", "stand by"],
    );
}

#[test]
fn talk_may_go_on() {
    check(
        Standing::MayGoOn,
        &[
            "let me get a pillow for you",
            "does that hurt",
            "it was fine on sunday",
        ],
    );
}

#[test]
fn something_is_missing() {
    check(
        Standing::Unfinished,
        &[
            "right hip",
            "right hip flexion",
            "left hip abduction passive",
            "hip flexion active one ten",
            "correction",
            "left knee minus",
        ],
    );
}

#[test]
fn only_its_speaker_knows_where_a_note_ends() {
    check(Standing::Unfinished, &["note", "note stairs hurt since monday"]);
}

/// A number that was not said for sure is not answered before there was time to go on.
#[test]
fn what_is_not_sure_may_go_on() {
    let interpreter = Interpreter::new(grammar());
    let mut doubtful = heard("right hip flexion active 110");
    doubtful.free.text = "right hip flection act of 110".into();
    doubtful.sentences[0].bends = vec![-0.9, -2.0];
    let understood = interpreter.choose(&doubtful);
    assert_eq!(
        interpreter.standing(&doubtful),
        Standing::MayGoOn,
        "{understood:?}"
    );
}
