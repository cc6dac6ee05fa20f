//! What must hold for any finding and any text.

use couchside::finding::{Arc, Degrees, Finding, Kind, Mode, Outcome, Pain, Side};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::{Index, select, subsequence};

use super::render::{fillers, fragments, movements, named, values};
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

fn side(sided: bool) -> BoxedStrategy<Option<Side>> {
    match sided {
        true => select(vec![Side::Left, Side::Right, Side::Both])
            .prop_map(Some)
            .boxed(),
        false => Just(None).boxed(),
    }
}

/// Any whole finding of a movement. Its signs are the trick movements that belong to it: those of other movements are
/// movements of their own in other mouths.
fn of_movement() -> impl Strategy<Value = Finding> {
    select(movements()).prop_flat_map(|movement| {
        let list = |file| option::of(select(names(file, None)));
        let signs = [
            movement.tricks.clone(),
            vec!["crepitus".into(), "clicking".into()],
        ]
        .concat();
        (
            side(movement.sided),
            option::of(select(vec![Mode::Active, Mode::Passive, Mode::Resisted])),
            amounts(movement.reach),
            option::of(pains(movement.reach)),
            (list("ranges.toml"), list("end-feels.toml"), list("powers.toml")),
            subsequence(signs, 0..=2),
        )
            .prop_map(
                move |(side, mode, (degrees, strength, span), pain, (range, end_feel, power), signs)| {
                    let mut finding = Finding::new(Kind::Movement);
                    finding.side = side;
                    finding.joint = Some(movement.joint.clone());
                    finding.movement = Some(movement.name.clone());
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

fn felt() -> impl Strategy<Value = Pain> {
    option::of(1u8..=10).prop_map(|score| Pain {
        felt: true,
        score,
        when: None,
        arc: None,
    })
}

fn of_muscle() -> impl Strategy<Value = Finding> {
    select(named("muscles", "muscle")).prop_flat_map(|muscle| {
        let grade = select(vec!["0", "2-", "3", "3+", "4-", "4+", "5"]);
        let power = option::of(select(names("powers.toml", None)));
        (side(muscle.sided), grade, power, option::of(felt())).prop_map(move |(side, grade, power, pain)| {
            let mut finding = Finding::new(Kind::Muscle);
            finding.muscle = Some(muscle.name.clone());
            (finding.side, finding.power, finding.pain) = (side, power, pain);
            finding.strength = Some(grade.to_string());
            finding
        })
    })
}

fn of_test() -> impl Strategy<Value = Finding> {
    select(named("tests", "test")).prop_flat_map(|test| {
        let lax = test.scale.as_deref() == Some("laxity");
        let result = select(names("results.toml", None));
        (side(test.sided), result, option::of(0u8..=3), option::of(felt())).prop_map(
            move |(side, result, laxity, pain)| {
                let mut finding = Finding::new(Kind::Test);
                finding.test = Some(test.name.clone());
                (finding.side, finding.pain) = (side, pain);
                finding.result = Some(result);
                finding.laxity = laxity.filter(|_| lax);
                finding
            },
        )
    })
}

fn of_structure() -> impl Strategy<Value = Finding> {
    let structures = names("structures.toml", None);
    (select(structures), select(vec![Side::Left, Side::Right]), felt()).prop_map(|(structure, side, pain)| {
        let mut finding = Finding::new(Kind::Palpation);
        finding.side = (!grammar().midline.contains(&structure)).then_some(side);
        finding.structure = Some(structure);
        finding.pain = Some(pain);
        finding
    })
}

fn of_girth() -> impl Strategy<Value = Finding> {
    let parts = vec!["thigh", "calf", "upper arm"];
    (
        select(parts),
        select(vec![Side::Left, Side::Right]),
        10u32..90,
        5u32..20,
    )
        .prop_map(|(part, side, around, at)| {
            let mut finding = Finding::new(Kind::Girth);
            finding.side = Some(side);
            finding.girth_cm = Some(f64::from(around));
            finding.level = Some(format!("{part}, {at} cm"));
            finding
        })
}

/// Any whole finding.
fn findings() -> impl Strategy<Value = Finding> {
    prop_oneof![
        4 => of_movement(),
        1 => of_muscle(),
        2 => of_test(),
        1 => of_structure(),
        1 => of_girth(),
    ]
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
    #![proptest_config(ProptestConfig { cases: 600, max_shrink_iters: 60, failure_persistence: None, ..ProptestConfig::default() })]

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
        // These make other things of what follows: "at" a height or a place, "with" a trick movement, "in" a position,
        // "of" what is measured, "to" how far by a mark on the body ("to C seven").
        let fillers: Vec<String> =
            fillers().into_iter().filter(|filler| !["at", "with", "in", "of", "to"].contains(&filler.as_str())).collect();
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
