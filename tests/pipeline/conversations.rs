//! Whole conversations, utterance by utterance, against the events that they must lead to.

use couchside::hear::Heard;
use couchside::readback::SaidBack;

use super::{events, heard, lines, visit};

/// Each pair is an utterance and its events, one per line.
fn check(conversation: &[(&str, &str)]) {
    let home = tempfile::tempdir().expect("a folder");
    let mut visit = visit(home.path());
    for (words, expected) in conversation {
        let expected: Vec<&str> = expected
            .lines()
            .map(str::trim)
            .filter(|line| !line.is_empty())
            .collect();
        assert_eq!(events(&mut visit, words), expected, "after “{words}”");
    }
}

#[test]
fn a_finding_is_recorded_only_once_it_is_confirmed() {
    check(&[
        (
            "right hip flexion active one ten",
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
        ("confirm", "heard\nsaid Nothing is waiting."),
    ]);
}

#[test]
fn several_wait_and_are_confirmed_together_in_order() {
    check(&[
        (
            "right knee minus five to one thirty",
            "heard
             proposed right knee extension: -5°
             proposed right knee flexion: 130°
             said Right knee extension, 5 degrees short of straight. Right knee flexion, 130 degrees.",
        ),
        (
            "left the same",
            "heard
             proposed left knee flexion: 130°
             said Left knee flexion, 130 degrees.",
        ),
        (
            "read back",
            "heard
             said Waiting: right knee extension, 5 degrees short of straight; right knee flexion, 130 degrees; left knee flexion, 130 degrees.",
        ),
        (
            "confirmed",
            "heard
             recorded right knee extension: -5°
             recorded right knee flexion: 130°
             recorded left knee flexion: 130°
             said Recorded.",
        ),
    ]);
}

#[test]
fn nothing_leans_on_what_was_dropped() {
    check(&[
        (
            "right hip flexion active one ten",
            "heard
             proposed right hip flexion active: 110°
             said Right hip flexion, active, 110 degrees.",
        ),
        (
            "left knee flexion active ninety",
            "heard
             proposed left knee flexion active: 90°
             said Left knee flexion, active, 90 degrees.",
        ),
        (
            "disregard",
            "heard
             disregarded left knee flexion active: 90°
             said Dropped.",
        ),
        (
            "passive one twenty",
            "heard
             proposed right hip flexion passive: 120°
             said Right hip flexion, passive, 120 degrees.",
        ),
    ]);
}

#[test]
fn what_a_number_was_reckoned_from_is_said() {
    check(&[
        (
            "right hip flexion active one ten",
            "heard
             proposed right hip flexion active: 110°
             said Right hip flexion, active, 110 degrees.",
        ),
        (
            "passive gains ten",
            "heard
             proposed right hip flexion passive: 120°
             said Right hip flexion, passive, 120 degrees.
             said Reckoned from right hip flexion, active, 110 degrees.",
        ),
    ]);
}

#[test]
fn disregard_drops_the_latest_only() {
    check(&[
        (
            "left hip extension passive fifteen firm end feel",
            "heard
             proposed left hip extension passive: 15°, firm end feel
             said Left hip extension, passive, 15 degrees past straight, firm end feel.",
        ),
        (
            "right twenty",
            "heard
             proposed right hip extension passive: 20°
             said Right hip extension, passive, 20 degrees past straight.",
        ),
        (
            "disregard",
            "heard
             disregarded right hip extension passive: 20°
             said Dropped.",
        ),
        (
            "confirm",
            "heard
             recorded left hip extension passive: 15°, firm end feel
             said Recorded.",
        ),
        (
            "disregard",
            "heard\nsaid Take back left hip extension, passive, 15 degrees past straight, firm end feel?",
        ),
    ]);
}

#[test]
fn a_correction_replaces_what_it_names_and_is_said_back() {
    check(&[
        (
            "left hip abduction active thirty",
            "heard
             proposed left hip abduction active: 30°
             said Left hip A B duction, away from the body, active, 30 degrees.",
        ),
        (
            "correction adduction",
            "heard
             corrected left hip adduction active: 30°
             said Now left hip A D duction, towards the body, active, 30 degrees.",
        ),
        (
            "correction twenty five",
            "heard
             corrected left hip adduction active: 25°
             said Now left hip A D duction, towards the body, active, 25 degrees.",
        ),
        (
            "confirm",
            "heard\nrecorded left hip adduction active: 25°\nsaid Recorded.",
        ),
        ("correction right", "heard\nsaid Nothing is waiting."),
    ]);
}

#[test]
fn what_is_missing_is_asked_and_holds_up_the_record() {
    check(&[
        (
            "hip flexion active one ten",
            "heard
             proposed hip flexion active: 110°
             said Hip flexion, active, 110 degrees. Which side?
             asked Which side?",
        ),
        (
            "confirm",
            "heard
             said Hip flexion, active, 110 degrees. Which side?
             asked Which side?",
        ),
        (
            "right",
            "heard
             proposed right hip flexion active: 110°
             said Right hip flexion, active, 110 degrees.",
        ),
        (
            "confirm",
            "heard\nrecorded right hip flexion active: 110°\nsaid Recorded.",
        ),
    ]);
}

#[test]
fn a_doubt_is_asked_and_settled_by_the_answer() {
    check(&[
        (
            "right knee flexion four",
            "heard
             proposed right knee flexion: 4°
             said Right knee flexion, 4 degrees. 4 degrees, or strength 4?
             asked 4 degrees, or strength 4?",
        ),
        (
            "grade four",
            "heard
             proposed right knee flexion: strength 4
             said Right knee flexion, grade 4.",
        ),
        (
            "confirm",
            "heard\nrecorded right knee flexion: strength 4\nsaid Recorded.",
        ),
    ]);
}

#[test]
fn a_movement_named_alone_waits_for_its_result_and_never_stands_in_the_way() {
    check(&[
        (
            "right hip flexion",
            "heard
             proposed right hip flexion
             said Right hip flexion. What is the result?
             asked What is the result?",
        ),
        (
            "active one ten",
            "heard
             proposed right hip flexion active: 110°
             said Right hip flexion, active, 110 degrees.",
        ),
        (
            "confirm",
            "heard\nrecorded right hip flexion active: 110°\nsaid Recorded.",
        ),
    ]);
}

#[test]
fn talk_does_nothing() {
    check(&[
        ("does your right hip hurt when you turn it in", "aside"),
        ("confirm", "heard\nsaid Nothing is waiting."),
        (
            "right knee flexion passive one forty soft end feel",
            "heard
             proposed right knee flexion passive: 140°, soft end feel
             said Right knee flexion, passive, 140 degrees, soft end feel.",
        ),
        ("that is fine, I can confirm that for you", "aside"),
        (
            "confirm",
            "heard
             recorded right knee flexion passive: 140°, soft end feel
             said Recorded.",
        ),
    ]);
}

/// It may have been a correction: what waits is said back once more before it can be confirmed.
#[test]
fn after_something_unclear_the_first_confirm_only_says_back() {
    check(&[
        (
            "left knee flexion active one twenty",
            "heard
             proposed left knee flexion active: 120°
             said Left knee flexion, active, 120 degrees.",
        ),
        (
            "left knee flexion active two fifty",
            "unclear
             said I did not understand that. Please repeat it.",
        ),
        (
            "confirm",
            "heard\nsaid Waiting: left knee flexion, active, 120 degrees.",
        ),
        (
            "confirm",
            "heard\nrecorded left knee flexion active: 120°\nsaid Recorded.",
        ),
    ]);
}

#[test]
fn while_standing_by_only_resume_is_heard() {
    check(&[
        ("stand by", "heard\nsaid Not listening until you say so."),
        ("right hip flexion active one ten", ""),
        ("confirm", ""),
        ("resume", "heard\nsaid Listening."),
        ("confirm", "heard\nsaid Nothing is waiting."),
    ]);
}

#[test]
fn it_says_again_and_tells_what_remains_of_the_joint() {
    check(&[
        (
            "left hip flexion active one fifteen",
            "heard
             proposed left hip flexion active: 115°
             said Left hip flexion, active, 115 degrees.",
        ),
        ("say again", "heard\nsaid Left hip flexion, active, 115 degrees."),
        (
            "what remains",
            "heard
             said Not yet examined here: left passive, left resisted, right active, right passive, right resisted, and nothing of extension, abduction, adduction, internal rotation, external rotation.",
        ),
    ]);
}

#[test]
fn a_note_keeps_the_words_as_said() {
    check(&[
        (
            "note the client slept badly, worse since Sunday",
            "heard
             proposed note: the client slept badly, worse since Sunday
             said Note: the client slept badly, worse since Sunday.",
        ),
        (
            "confirm",
            "heard
             recorded note: the client slept badly, worse since Sunday
             said Recorded.",
        ),
    ]);
}

/// An answer is about what was asked, not about what was dictated last.
#[test]
fn what_confirm_asks_about_is_what_the_next_words_answer() {
    check(&[
        (
            "hip flexion active ninety",
            "heard
             proposed hip flexion active: 90°
             said Hip flexion, active, 90 degrees. Which side?
             asked Which side?",
        ),
        (
            "left knee flexion active one hundred",
            "heard
             proposed left knee flexion active: 100°
             said Left knee flexion, active, 100 degrees.",
        ),
        (
            "confirm",
            "heard
             said Hip flexion, active, 90 degrees. Which side?
             asked Which side?",
        ),
        (
            "right",
            "heard
             proposed right hip flexion active: 90°
             said Right hip flexion, active, 90 degrees.",
        ),
        (
            "confirm",
            "heard
             recorded left knee flexion active: 100°
             recorded right hip flexion active: 90°
             said Recorded.",
        ),
    ]);
}

const RECORDED: [(&str, &str); 4] = [
    (
        "right hip flexion active one ten",
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
    (
        "left knee flexion active one thirty",
        "heard
         proposed left knee flexion active: 130°
         said Left knee flexion, active, 130 degrees.",
    ),
    (
        "confirm",
        "heard
         recorded left knee flexion active: 130°
         said Recorded.",
    ),
];
const ASKED_BACK: (&str, &str) = (
    "disregard",
    "heard
     said Take back left knee flexion, active, 130 degrees?",
);

#[test]
fn what_was_recorded_last_is_taken_back_once_that_is_confirmed() {
    check(
        &[
            &RECORDED[..],
            &[
                ASKED_BACK,
                (
                    "confirm",
                    "heard
                 taken back left knee flexion active: 130°
                 said Taken back.",
                ),
                // What comes next leans on what was recorded before.
                (
                    "passive one twenty",
                    "heard
                 proposed right hip flexion passive: 120°
                 said Right hip flexion, passive, 120 degrees.",
                ),
                (
                    "disregard",
                    "heard\ndisregarded right hip flexion passive: 120°\nsaid Dropped.",
                ),
                (
                    "disregard",
                    "heard
                 said Take back right hip flexion, active, 110 degrees?",
                ),
                (
                    "confirm",
                    "heard
                 taken back right hip flexion active: 110°
                 said Taken back.",
                ),
                ("disregard", "heard\nsaid Nothing is waiting."),
            ],
        ]
        .concat(),
    );
}

#[test]
fn what_is_not_confirmed_to_be_taken_back_is_kept() {
    check(
        &[
            &RECORDED[..],
            &[
                ASKED_BACK,
                ("disregard", "heard\nsaid Kept."),
                ("confirm", "heard\nsaid Nothing is waiting."),
                ASKED_BACK,
                ("mind the step there", "aside"),
                // Another finding is an answer as well: what is confirmed then is that finding.
                (
                    "right hip flexion two fifty",
                    "unclear
                 said I did not understand that. Please repeat it.",
                ),
                // Something was not understood since: it is asked once more.
                (
                    "confirm",
                    "heard\nsaid Take back left knee flexion, active, 130 degrees?",
                ),
                (
                    "right knee flexion active one twenty",
                    "heard
                 proposed right knee flexion active: 120°
                 said Right knee flexion, active, 120 degrees.",
                ),
                (
                    "confirm",
                    "heard
                 recorded right knee flexion active: 120°
                 said Recorded.",
                ),
            ],
        ]
        .concat(),
    );
}

/// What is said while the program speaks never confirms, and what waits already is no news then: it may be the program's voice.
#[test]
fn what_is_heard_over_its_own_voice_confirms_nothing() {
    let home = tempfile::tempdir().expect("a folder");
    let mut visit = visit(home.path());
    let said = "right hip flexion active one ten";
    events(&mut visit, said);
    let over = |words: &str| Heard {
        over_voice: true,
        ..heard(words)
    };
    let mut take = |words: &str| lines(&visit.take(&over(words)).expect("the record can be written"));
    assert_eq!(take(said), ["aside"]);
    assert_eq!(take("right hip flexion active"), ["aside"]);
    for _ in 0..3 {
        assert_eq!(
            take("confirm"),
            ["heard", "said Waiting: right hip flexion, active, 110 degrees."]
        );
    }
}

#[test]
fn what_was_cut_short_is_said_again_before_it_is_recorded() {
    let home = tempfile::tempdir().expect("a folder");
    let mut visit = visit(home.path());
    events(&mut visit, "right hip flexion active one ten");
    visit.was_told();
    events(&mut visit, "passive one twenty");
    visit.was_cut_short();
    assert_eq!(
        events(&mut visit, "confirm"),
        [
            "heard",
            "recorded right hip flexion active: 110°",
            "said Recorded.",
            "said Waiting: right hip flexion, passive, 120 degrees."
        ]
    );
    visit.was_told();
    assert_eq!(
        events(&mut visit, "confirm"),
        [
            "heard",
            "recorded right hip flexion passive: 120°",
            "said Recorded."
        ]
    );
}

#[test]
fn one_of_several_is_confirmed() {
    check(&[
        (
            "right hip flexion active one ten",
            "heard
             proposed right hip flexion active: 110°
             said Right hip flexion, active, 110 degrees.",
        ),
        (
            "passive one twenty",
            "heard
             proposed right hip flexion passive: 120°
             said Right hip flexion, passive, 120 degrees.",
        ),
        (
            "confirm the last one",
            "heard
             recorded right hip flexion passive: 120°
             said Recorded.",
        ),
        (
            "read back",
            "heard
             said Waiting: right hip flexion, active, 110 degrees.",
        ),
        (
            "confirm last",
            "heard
             recorded right hip flexion active: 110°
             said Recorded.",
        ),
    ]);
}

/// With `said-back movement` findings of one movement are said back together, when another is begun or they are confirmed.
#[test]
fn findings_of_a_movement_are_said_back_together() {
    let home = tempfile::tempdir().expect("a folder");
    let mut visit = visit(home.path()).said_back(SaidBack::Movement);
    for (words, expected) in [
        (
            "right hip flexion active one ten",
            &["heard", "proposed right hip flexion active: 110°"][..],
        ),
        (
            "passive one twenty",
            &["heard", "proposed right hip flexion passive: 120°"],
        ),
        (
            "extension active fifteen",
            &[
                "heard",
                "said Waiting: right hip flexion, active, 110 degrees; right hip flexion, passive, 120 degrees.",
                "proposed right hip extension active: 15°",
            ],
        ),
        (
            "confirm",
            &[
                "heard",
                "recorded right hip flexion active: 110°",
                "recorded right hip flexion passive: 120°",
                "said Recorded.",
                "said Waiting: right hip extension, active, 15 degrees past straight.",
            ],
        ),
        (
            "confirm",
            &[
                "heard",
                "recorded right hip extension active: 15°",
                "said Recorded.",
            ],
        ),
        // What has to be asked is asked at once.
        (
            "knee flexion four",
            &[
                "heard",
                "proposed right knee flexion: 4°",
                "said Right knee flexion, 4 degrees. 4 degrees, or strength 4?",
                "asked 4 degrees, or strength 4?",
            ],
        ),
    ] {
        assert_eq!(events(&mut visit, words), expected, "after “{words}”");
        visit.was_told();
    }
}

#[test]
fn findings_of_a_joint_are_said_back_together() {
    let home = tempfile::tempdir().expect("a folder");
    let mut visit = visit(home.path()).said_back(SaidBack::Joint);
    for words in ["right hip flexion active one ten", "extension active fifteen"] {
        assert_eq!(events(&mut visit, words).len(), 2, "{words}");
        visit.was_told();
    }
    assert_eq!(
        events(&mut visit, "knee flexion active one thirty"),
        [
            "heard",
            "said Waiting: right hip flexion, active, 110 degrees; right hip extension, active, 15 degrees past straight.",
            "proposed right knee flexion active: 130°",
        ]
    );
}

#[test]
fn what_remains_of_other_movements_of_the_joint_is_named_with_them() {
    check(&[
        (
            "both knees extension passive zero resisted five",
            "heard
             proposed both knee extension passive: 0°
             proposed both knee extension resisted: strength 5
             said Both knee extension, passive, 0 degrees. Both knee extension, resisted, grade 5.",
        ),
        (
            "right flexion active one thirty",
            "heard
             proposed right knee flexion active: 130°
             said Right knee flexion, active, 130 degrees.",
        ),
        (
            "what remains",
            "heard
             said Not yet examined here: left active, left passive, left resisted, right passive, right resisted, left extension active, right extension active, and nothing of tibial internal rotation, tibial external rotation.",
        ),
    ]);
}

/// Another finding that is dictated over the read-back is news, however much it is like it.
#[test]
fn another_finding_over_its_own_voice_is_taken() {
    let home = tempfile::tempdir().expect("a folder");
    let mut visit = visit(home.path());
    events(&mut visit, "right hip flexion active one ten");
    let heard = Heard {
        over_voice: true,
        ..heard("left hip flexion active one ten")
    };
    assert_eq!(
        lines(&visit.take(&heard).expect("the record can be written")),
        [
            "heard",
            "proposed left hip flexion active: 110°",
            "said Left hip flexion, active, 110 degrees."
        ]
    );
}
