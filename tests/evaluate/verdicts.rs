//! What was meant and what was understood, by hand, and the verdict that follows.

use couchside::evaluate::{Claim, judge, same};
use couchside::finding::{Finding, Outcome};
use serde::Deserialize;
use serde_json::{Value, json};

#[derive(Deserialize)]
struct File {
    case: Vec<Row>,
}

#[derive(Deserialize)]
struct Row {
    why: String,
    #[serde(default)]
    meant: Vec<Step>,
    #[serde(default)]
    understood: Vec<Step>,
    verdict: String,
    /// The fields that differ, where the case is about them.
    differ: Option<Vec<String>>,
}

#[derive(Deserialize)]
struct Step {
    #[serde(default)]
    amends: bool,
    #[serde(flatten)]
    outcome: Outcome,
}

#[test]
fn each_outcome_has_its_verdict() {
    let file: File = toml::from_str(include_str!("verdicts.toml")).expect("the table");
    let claim = |steps: &[Step]| Claim::of(steps.iter().map(|step| (&step.outcome, step.amends)));
    let mut given = std::collections::BTreeSet::new();
    for row in &file.case {
        let judgement = judge(&claim(&row.meant), &claim(&row.understood));
        let verdict = json!(judgement.verdict);
        assert_eq!(verdict, row.verdict, "{}: {judgement:?}", row.why);
        let differences = judgement.pairs.iter().flat_map(|pair| &pair.differences);
        let differ: Vec<String> = differences.map(|one| one.field.clone()).collect();
        if let Some(wanted) = &row.differ {
            assert_eq!(&differ, wanted, "{}", row.why);
        }
        given.insert(row.verdict.clone());
    }
    assert_eq!(given.len(), 10, "every verdict is there: {given:?}");
}

fn finding(value: Value) -> Finding {
    serde_json::from_value(value).expect("a finding")
}

#[test]
fn order_and_punctuation_do_not_count_and_values_do() {
    let check = |wanted: bool, one: Value, other: Value| {
        assert_eq!(
            same(&finding(one.clone()), &finding(other.clone())),
            wanted,
            "{one} {other}"
        );
    };
    let signs = |signs: [&str; 2]| json!({"kind": "movement", "joint": "hip", "signs": signs});
    check(
        true,
        signs(["crepitus", "clicking"]),
        signs(["clicking", "crepitus"]),
    );
    check(
        false,
        signs(["crepitus", "clicking"]),
        signs(["clicking", "clicking"]),
    );
    let note = |text: &str| json!({"kind": "note", "text": text});
    check(
        true,
        note("Stairs hurt, since Monday."),
        note("stairs hurt since monday"),
    );
    check(
        false,
        note("stairs hurt since Monday"),
        note("stairs hurt since Sunday"),
    );
    let doubt = |said: &str, or: [&str; 2]| json!({"kind": "movement", "movement": "flexion", "doubts": [{"field": "side", "said": said, "or": or}]});
    check(
        true,
        doubt("left", ["right", "both"]),
        doubt("both", ["left", "right"]),
    );
    check(
        false,
        doubt("left", ["right", "both"]),
        doubt("left", ["right", "nothing"]),
    );
    let missing = |fields: [&str; 2]| json!({"kind": "movement", "missing": fields});
    check(true, missing(["side", "joint"]), missing(["joint", "side"]));
    check(false, missing(["side", "joint"]), missing(["joint", "movement"]));
    let girth = |cm: Value| json!({"kind": "girth", "side": "left", "girth_cm": cm});
    check(true, girth(json!(51)), girth(json!(51.0)));
    check(false, girth(json!(51)), girth(json!(51.5)));
}
