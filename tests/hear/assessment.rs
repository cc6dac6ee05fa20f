//! The continuous assessment through `couchside listen`: sound in, confirmed findings in an encrypted record out.

use serde_json::{Value, json};

use super::{couchside, json_lines, samples, schema, truth};

#[test]
fn what_is_confirmed_aloud_and_nothing_else_is_in_the_record() {
    let home = tempfile::tempdir().expect("a folder");
    let passphrase = home.path().join("passphrase");
    std::fs::write(&passphrase, "a long throw-away passphrase\n").expect("written");
    let run = |arguments: &[&str]| {
        let mut command = couchside();
        command
            .args(arguments)
            .env("COUCHSIDE_HOME", home.path().join("record"));
        command
            .env("COUCHSIDE_PASSPHRASE_FILE", &passphrase)
            .output()
            .expect("couchside runs")
    };
    assert!(run(&["record", "new"]).status.success());
    let folder = samples().join("knee-and-hip-assessment");
    let speech = folder.join("speech.wav");
    let speech = speech.to_str().expect("UTF-8");
    let events = json_lines(run(&["listen", "--client", "demo-1", "--from", speech, "--json"]));

    let named = |name: &str| {
        events
            .iter()
            .filter(|event| event["event"] == name)
            .collect::<Vec<&Value>>()
    };
    let recorded: Vec<&Value> = named("recorded").iter().map(|event| &event["finding"]).collect();
    let truth = truth(&folder);
    assert_eq!(json!(recorded), truth["recorded"], "recorded");
    let schema = schema();
    for event in ["recorded", "proposed", "corrected", "disregarded"]
        .iter()
        .flat_map(|name| named(name))
    {
        assert!(schema.is_valid(&event["finding"]), "{event}");
        assert!(event["id"].is_i64(), "{event}");
    }
    for event in named("recorded") {
        let at: jiff::Timestamp = event["at"].as_str().expect("a time").parse().expect("RFC 3339");
        assert!(at <= jiff::Timestamp::now());
    }
    let asides = truth["utterance"]
        .as_array()
        .expect("a list")
        .iter()
        .filter(|one| one["outcome"] == "aside");
    assert_eq!(named("aside").len(), asides.count(), "asides");

    // What was heard, and when, is what `couchside hear` hears in the file.
    let lines = json_lines(run(&["hear", speech]));
    let heard: Vec<Value> = lines
        .iter()
        .map(|line| json!([line["start_s"], line["end_s"], line["heard"]]))
        .collect();
    let hundredths = |value: &Value| json!((value.as_f64().expect("seconds") * 100.0).round() / 100.0);
    let listened: Vec<Value> = events
        .iter()
        .filter(|event| event.get("start_s").is_some())
        .map(|event| {
            json!([
                hundredths(&event["start_s"]),
                hundredths(&event["end_s"]),
                event["heard"]
            ])
        })
        .collect();
    assert_eq!(listened, heard, "hear and listen");

    let case = json_lines(run(&["show", "--client", "demo-1", "--json"])).remove(0);
    let kept: Vec<&Value> = case["visits"][0]["findings"]
        .as_array()
        .expect("findings")
        .iter()
        .map(|kept| &kept["finding"])
        .collect();
    assert_eq!(json!(kept), truth["recorded"], "the case");
    assert!(run(&["record", "verify"]).status.success());
}
