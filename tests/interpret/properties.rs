//! What must hold for any finding and any text.

use couchside::finding::{Arc, Degrees, Finding, Kind, Mode, Outcome, Pain, Side};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::{Index, select, subsequence};

use super::render::{fillers, fragments, movements, values};
use super::{grammar, interpreter};

fn names(file: &str, slot: Option<&str>) -> Vec<String> {
    values(file, slot).into_iter().map(|(name, _)| name).collect()
}

fn pains([lowest, highest]: [i32; 2]) -> impl Strategy<Value = Pain> {
    let when = || option::of(select(names("pain.toml", Some("pain when"))));
    let arc = (lowest..=highest, lowest..=highest).prop_map(|(one, other)| Arc {
        from: one.min(other),
        to: one.max(other),
    });
    prop_oneof![
        (option::of(1u8..=10), when(), option::of(arc)).prop_map(|(score, when, arc)| Pain {
            felt: true,
            score,
            when,
            arc
        }),
        when().prop_map(|when| Pain {
            felt: false,
            score: None,
            when,
            arc: None
        }),
    ]
}

/// Degrees, a span or a grade; a span only where it is not one through zero, and never against resistance.
fn amounts([lowest, highest]: [i32; 2]) -> impl Strategy<Value = (Option<Degrees>, Option<String>, bool)> {
    let grades = [
        "0", "1", "1+", "2-", "2", "2+", "3-", "3", "3+", "4-", "4", "4+", "5-", "5",
    ];
    prop_oneof![
        Just((None, None, false)),
        (lowest..=highest).prop_map(|to| (Some(Degrees { from: None, to }), None, false)),
        (0..=highest, 0..=highest).prop_map(|(one, other)| {
            (
                Some(Degrees {
                    from: Some(one.min(other)),
                    to: one.max(other),
                }),
                None,
                true,
            )
        }),
        select(grades.to_vec()).prop_map(|grade| (None, Some(grade.to_string()), false)),
    ]
}

/// Any whole finding of a movement.
fn findings() -> impl Strategy<Value = Finding> {
    let movement = select(vec!["hip", "knee"]).prop_flat_map(|joint| {
        select(movements(joint)).prop_map(move |(name, _, reach)| (joint.to_string(), name, reach))
    });
    movement.prop_flat_map(|(joint, name, reach)| {
        let list = |file| option::of(select(names(file, None)));
        (
            select(vec![Side::Left, Side::Right, Side::Both]),
            option::of(select(vec![Mode::Active, Mode::Passive, Mode::Resisted])),
            amounts(reach),
            option::of(pains(reach)),
            (list("ranges.toml"), list("end-feels.toml"), list("powers.toml")),
            subsequence(names("signs.toml", None), 0..=3),
        )
            .prop_map(
                move |(side, mode, (degrees, strength, span), pain, (range, end_feel, power), signs)| {
                    let mut finding = Finding::new(Kind::Movement);
                    finding.side = Some(side);
                    finding.joint = Some(joint.clone());
                    finding.movement = Some(name.clone());
                    finding.mode = mode.filter(|mode| !(span && *mode == Mode::Resisted));
                    (finding.degrees, finding.strength, finding.pain) = (degrees, strength, pain);
                    (finding.range, finding.end_feel, finding.power) = (range, end_feel, power);
                    finding.signs = signs;
                    finding
                },
            )
            .prop_filter("something was found", Finding::has_result)
    })
}

/// One finding with its signs in any order.
fn sorted(outcome: &Outcome) -> Option<Finding> {
    let Outcome::Finding { findings } = outcome else {
        return None;
    };
    let [finding] = findings.as_slice() else {
        return None;
    };
    let mut finding = finding.clone();
    finding.signs.sort();
    Some(finding)
}

fn shuffled() -> impl Strategy<Value = (Finding, Vec<String>)> {
    findings().prop_flat_map(|finding| {
        let said = Just(fragments(&finding)).prop_shuffle();
        (Just(finding), said)
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_finding_said_in_any_order_is_read_as_it_was((finding, said) in shuffled()) {
        let text = said.join(" ");
        let outcome = interpreter().read(&text).outcome;
        let expected = sorted(&Outcome::Finding { findings: vec![finding] });
        prop_assert_eq!(sorted(&outcome), expected, "{}: {:?}", text, outcome);
    }

    #[test]
    fn fillers_between_fragments_change_nothing(
        (finding, said) in shuffled(),
        picks in vec(option::of(any::<Index>()), 24),
    ) {
        let fillers = fillers();
        let mut text = said[0].clone();
        for (fragment, pick) in said[1..].iter().zip(picks) {
            if let Some(pick) = pick {
                text = format!("{text} {}", pick.get(&fillers));
            }
            text = format!("{text} {fragment}");
        }
        let outcome = interpreter().read(&text).outcome;
        let expected = sorted(&Outcome::Finding { findings: vec![finding] });
        prop_assert_eq!(sorted(&outcome), expected, "{}: {:?}", text, outcome);
    }

    #[test]
    fn any_text_is_read_without_panic_and_looking_is_reading(lines in vec(any::<String>(), 1..4)) {
        reads(&lines)?;
    }

    /// Words of the grammar in no order say much more than any text does.
    #[test]
    fn any_words_of_the_grammar_are_read_without_panic_and_looking_is_reading(
        lines in vec(vec(any::<Index>(), 1..14), 1..5),
    ) {
        let lexicon = &grammar().lexicon;
        let word = |at: &Index| lexicon.word(at.index(lexicon.len()) as u32).to_string();
        let lines: Vec<String> =
            lines.iter().map(|line| line.iter().map(word).collect::<Vec<_>>().join(" ")).collect();
        reads(&lines)?;
    }
}

/// Reads the lines as one dictation: `peek` sees what `read` reads, and every finding follows the published form.
fn reads(lines: &[String]) -> Result<(), TestCaseError> {
    let mut interpreter = interpreter();
    for line in lines {
        let seen = interpreter.peek(line);
        let read = interpreter.read(line);
        prop_assert_eq!(&seen, &read);
        super::assert_valid(&serde_json::to_value(&read.outcome).unwrap(), line);
    }
    Ok(())
}
