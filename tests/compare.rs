//! `couchside compare`, with the program as it is run, on visits of which it is known what is in them.

use couchside::record::{ClientDetails, Sex};
use serde_json::Value;

use crate::record::new_record;

/// A client's visits: the day, and what was dictated and confirmed.
const VISITS: [(&str, &[&str]); 3] = [
    (
        "2026-08-03",
        &[
            "right shoulder scaption active one eighteen",
            "right knee extension passive minus ten",
            "right hip abduction resisted three plus",
            "right hip flexion active pain six out of ten",
        ],
    ),
    (
        "2026-09-01",
        &[
            "right shoulder scaption active one twenty six",
            "right knee extension passive minus six",
            "left hip flexion active one twenty",
        ],
    ),
    (
        "2026-10-05",
        &[
            "right shoulder scaption active one twenty four",
            "left shoulder scaption active one forty",
            "right knee extension passive minus four",
            "left knee extension passive five",
            "right hip abduction resisted four",
            "right hip flexion active one hundred pain three out of ten",
            "right hip flexion active one ten",
            "right hip flexion passive one fifteen",
            "left hip flexion active prone one ten",
        ],
    ),
];

/// A record in which they are.
pub(crate) fn visited() -> (tempfile::TempDir, couchside::record::Record) {
    let (home, mut record) = new_record();
    let grammar = std::sync::Arc::new(couchside::grammar::Grammar::carried().unwrap());
    for (date, dictated) in VISITS {
        let visit = record.visit_on("P-12", date.parse().unwrap()).unwrap();
        for said in dictated {
            for finding in couchside::review::amendment::typed(&grammar, said).unwrap() {
                couchside::review::amendment::add(&mut record, &grammar, visit, finding, said).unwrap();
            }
        }
    }
    (home, record)
}

fn compared(words: &[&str]) -> Vec<Value> {
    let (home, record) = visited();
    drop(record);
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_couchside"))
        .args(["compare", "--client", "P-12"])
        .args(words)
        .env("COUCHSIDE_HOME", home.path())
        .env_remove("COUCHSIDE_PASSPHRASE_FILE")
        .env("COUCHSIDE_PASSPHRASE", crate::record::WORDS)
        .output()
        .unwrap();
    assert!(output.status.success(), "{output:?}");
    let text = String::from_utf8(output.stdout).unwrap();
    match words.contains(&"--json") {
        true => text
            .lines()
            .map(|line| serde_json::from_str(line).unwrap())
            .collect(),
        false => vec![Value::String(text)],
    }
}

/// The line of a movement and mode.
fn of<'a>(lines: &'a [Value], movement: &str, mode: &str) -> &'a Value {
    let found = lines
        .iter()
        .find(|line| line["movement"] == movement && line["mode"] == mode && line["position"].is_null());
    found.unwrap_or_else(|| panic!("{movement} {mode} in {lines:?}"))
}

#[test]
fn now_is_set_against_before_and_left_against_right() {
    let lines = compared(&["--json"]);
    assert!(
        lines
            .iter()
            .all(|line| line["visit"] == 3 && line["date"] == "2026-10-05")
    );
    let scaption = of(&lines, "scaption", "active");
    // Kolber & Hanney: MDC95 8 degrees; 126 to 124 is within it, 118 to 124 too.
    let right = &scaption["right"];
    assert_eq!(scaption["measurement_error"]["mdc95"], 8.0);
    assert_eq!(
        right["since_last"]["degrees"],
        serde_json::json!({"before": 126, "change": -2})
    );
    assert_eq!(right["since_last"]["visit"], 2);
    assert_eq!(right["since_first"]["degrees"]["change"], 6);
    assert_eq!(right["since_first"]["beyond_measurement_error"], false);
    assert_eq!(scaption["difference"]["degrees"], 16);
    assert_eq!(scaption["difference"]["less"], "right");
    assert_eq!(scaption["difference"]["symmetry_index"], 88.6);
    assert_eq!(scaption["left"]["since_last"], Value::Null);
    // Short of straight is negative, and a per cent would mislead.
    let knee = of(&lines, "extension", "passive");
    assert_eq!(knee["right"]["since_first"]["degrees"]["change"], 6);
    assert_eq!(knee["right"]["since_first"]["beyond_measurement_error"], true);
    assert_eq!(
        knee["difference"],
        serde_json::json!({"degrees": 9, "less": "right"})
    );
}

#[test]
fn trials_grades_pain_and_modes_are_told_apart() {
    let lines = compared(&["--json"]);
    let flexion = of(&lines, "flexion", "active");
    let right = &flexion["right"];
    assert_eq!(right["degrees"], 110, "the last is used");
    assert_eq!(right["trials"].as_array().unwrap().len(), 2);
    assert_eq!(
        right["within_visit"]["degrees"],
        serde_json::json!({"before": 100, "change": 10})
    );
    assert_eq!(
        right["within_visit"]["beyond_measurement_error"],
        Value::Null,
        "not known"
    );
    assert_eq!(
        of(&lines, "flexion", "passive")["right"]["passive_minus_active"],
        5
    );
    // Another position is another measurement.
    assert_eq!(flexion["left"], Value::Null);
    assert!(
        lines
            .iter()
            .any(|line| line["position"] == "prone" && line["left"]["degrees"] == 110)
    );
    let strength = of(&lines, "abduction", "resisted");
    assert_eq!(strength["right"]["strength"], "4");
    assert_eq!(strength["right"]["since_last"]["strength_before"], "3+");
    assert_eq!(strength["right"]["since_last"]["visit"], 1);
    let usual = &flexion["usual"];
    assert!(usual["source"].is_string() && usual["status"].is_string());
}

#[test]
fn an_earlier_visit_is_compared_with_those_before_it() {
    let lines = compared(&["--json", "--visit", "2"]);
    assert_eq!(
        of(&lines, "scaption", "active")["right"]["since_last"]["beyond_measurement_error"],
        true
    );
    assert_eq!(
        of(&lines, "scaption", "active")["right"]["since_first"],
        Value::Null
    );
    let lines = compared(&["--json", "--visit", "1"]);
    assert!(lines.iter().all(|line| line["right"]["since_last"].is_null()));
}

#[test]
fn norms_are_those_of_the_clients_age_and_sex() {
    let (_home, mut record) = visited();
    let grammar = couchside::grammar::Grammar::carried().unwrap();
    let case = record.case("P-12").unwrap();
    // CDC Normal Joint ROM Study (Soucie et al. 2011): passive knee extension, girls of 2 to 8, 5.4 degrees.
    for (born, sex, mean) in [
        (Some(2020), Some(Sex::Female), Some(5.4)),
        (Some(2020), Some(Sex::Male), Some(1.6)),
        (Some(1900), Some(Sex::Female), None),
        (None, None, None),
    ] {
        let client = ClientDetails {
            born,
            sex,
            ..ClientDetails::default()
        };
        record.describe_client("P-12", client.clone()).unwrap();
        let compared = couchside::review::compare::compare(&grammar, &client, &case, None);
        let knee = compared
            .iter()
            .find(|one| one.joint.as_deref() == Some("knee"))
            .unwrap();
        let of_study = knee.norms.iter().find(|norm| norm.source.starts_with("Soucie"));
        assert_eq!(of_study.map(|norm| norm.mean), mean, "{born:?} {sex:?}");
        assert!(of_study.is_none_or(|norm| norm.spread.is_some() && !norm.status.is_empty()));
    }
}

#[test]
fn it_reads_as_sentences() {
    let text = &compared(&[])[0];
    let text = text.as_str().unwrap();
    for line in [
        "P-12, visit 3 of 5 October 2026",
        "  scaption, active",
        "    right  124°",
        "since visit 2 of 1 September 2026: 2° less (from 126°), within measurement error",
        "    right 16° less than left: 11 % less, symmetry index 89 %",
        "110°; of 100°, 110°: the last is used",
        "tested again in this visit: 10° more (from 100°), measurement error not known",
        "grade 3+ then",
        "measurement error: SEM 2.9°, MDC95 8° (two examiners, goniometer; 30 people without complaints) [",
        "none is a limit of what is normal",
    ] {
        assert!(text.contains(line), "{line}\n{text}");
    }
}

#[test]
fn hints_are_given_to_those_who_ask_and_say_how_little_is_proven() {
    let (home, mut record) = new_record();
    let grammar = std::sync::Arc::new(couchside::grammar::Grammar::carried().unwrap());
    let visit = record.visit_for("P-12").unwrap();
    for said in [
        "left shoulder external rotation passive forty five painful",
        "right shoulder external rotation passive ninety",
        "left shoulder abduction passive one forty",
        "right shoulder abduction passive one seventy",
        "left shoulder internal rotation passive sixty",
        "right shoulder internal rotation passive seventy",
        "left shoulder external rotation active forty painful",
        "right hip abduction resisted weak and pain free",
        "right elbow extension passive five soft",
    ] {
        for finding in couchside::review::amendment::typed(&grammar, said).unwrap() {
            couchside::review::amendment::add(&mut record, &grammar, visit, finding, said).unwrap();
        }
    }
    let case = record.case("P-12").unwrap();
    let hints = couchside::review::hints::hints(&grammar, &case.visits[0]);
    let said: Vec<&str> = hints.iter().map(|hint| hint.says.as_str()).collect();
    let told = said.join("\n");
    for words in [
        "left shoulder, passive, against the right: external rotation 45° less, abduction 30° less, internal rotation 10° less.",
        "3 of 3 pairs stand in that order",
        "Weak and painless against resistance",
        "Painful in the same direction",
        "Usual for this movement: hard",
    ] {
        assert!(told.contains(words), "{words}\n{told}");
    }
    assert!(said.last().unwrap().starts_with("These are teaching models"));
    assert!(hints.iter().all(|hint| hint.source.ends_with(')')));
    drop((home, record));
    // Nobody asked.
    assert!(!compared(&[])[0].as_str().unwrap().contains("extbooks"));
}
