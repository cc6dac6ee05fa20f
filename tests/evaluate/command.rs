//! `couchside evaluate` as it is run.

use std::path::Path;
use std::process::{Command, Output};

use serde_json::{Value, json};

use super::{case, sample};

fn evaluate(arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_couchside"));
    command.current_dir(env!("CARGO_MANIFEST_DIR"));
    // Words of one's own would change what is heard.
    command.env("COUCHSIDE_HOME", env!("CARGO_TARGET_TMPDIR"));
    command
        .arg("evaluate")
        .args(arguments)
        .output()
        .expect("couchside runs")
}

fn document(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).expect("one JSON document")
}

fn complaint(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// Three samples as they are, and one of them with a truth that says the other side.
fn cases(folder: &Path) {
    for name in [
        "right-hip-flexion-active-110",
        "correction-45",
        "my-colleague-measured-140",
    ] {
        let text = std::fs::read_to_string(sample(name).join("case.toml")).expect("its case");
        case(folder, &format!("as-they-are/{name}"), &text, name);
    }
    let name = "right-hip-flexion-active-110";
    let text = std::fs::read_to_string(sample(name).join("case.toml")).expect("its case");
    let other_side = text.replace("side = \"right\"", "side = \"left\"");
    let stated = "id = \"other side\"\nspeed = 0.9\nsnr_db = 5\nkind = \"dictation\"\n";
    case(folder, "other-side", &(stated.to_string() + &other_side), name);
}

#[test]
fn samples_are_judged_and_counted() {
    let folder = tempfile::tempdir().expect("a folder");
    cases(folder.path());
    let path = folder.path().to_str().expect("UTF-8");
    let output = evaluate(&[path, "--json"]);
    assert!(
        output.status.success(),
        "{} (the model is fetched by `make model`)",
        complaint(&output)
    );
    assert!(
        complaint(&output).contains("heard 4 of 4 cases"),
        "{}",
        complaint(&output)
    );
    let report = document(&output);
    let verdicts: Vec<Value> = report["utterances"]
        .as_array()
        .expect("utterances")
        .iter()
        .map(|one| json!([one["case"], one["class"], one["verdict"]]))
        .collect();
    assert_eq!(
        json!(verdicts),
        json!([
            ["correction-45", "control word", "exactly right"],
            ["my-colleague-measured-140", "talk", "exactly right"],
            ["right-hip-flexion-active-110", "dictation", "exactly right"],
            ["other side", "dictation", "silently wrong"],
        ])
    );
    assert_eq!((&report["cases"], &report["heard"]), (&json!(4), &json!(4)));
    let wrong = &report["utterances"][3];
    assert_eq!(
        wrong["differences"],
        json!([{"field": "side", "said": "left", "heard": "right"}])
    );
    let confusion = json!({"field": "side", "said": "left", "heard": "right", "count": 1, "silently": 1});
    assert_eq!(report["confusions"], json!([confusion]));
    let side =
        json!({"said": 3, "wrong_silently": 1, "wrong_other_asked": 0, "wrong_asked": 0, "right_asked": 0});
    assert_eq!(report["fields"]["side"], side);
    let dictation = &report["classes"][0];
    assert_eq!(
        (&dictation["class"], &dictation["utterances"]),
        (&json!("dictation"), &json!(2))
    );
    let right = json!({"verdict": "exactly right", "count": 1, "of": 2, "percent": 50.0, "interval": [9.4531, 90.5469]});
    assert_eq!(dictation["verdicts"][0], right);
    let groups = |name: &str| -> Vec<&str> {
        let groups = report["by"][name].as_array().expect("groups").iter();
        groups.filter_map(|group| group["group"].as_str()).collect()
    };
    assert_eq!(groups("noise"), ["none", "none, 5 dB", "room noise, 20 dB"]);
    assert_eq!(groups("kind of case"), ["dictation", "not stated"]);
    assert_eq!(report["from_talk"]["findings"], 0);
    assert_eq!(report["latency"]["utterances"], 4);

    // However many are heard at a time, the answer is the same but for the times.
    let mut two = document(&evaluate(&[path, "--json", "--jobs", "2"]));
    two["latency"] = report["latency"].clone();
    assert_eq!(two, report);
}

#[test]
fn the_report_says_it_in_words() {
    let folder = tempfile::tempdir().expect("a folder");
    cases(folder.path());
    let output = evaluate(&[folder.path().to_str().expect("UTF-8"), "--each"]);
    let text = String::from_utf8(output.stdout).expect("text");
    let line = text
        .lines()
        .find(|line| line.starts_with("other side 1"))
        .expect("a line for the case");
    assert!(
        line.contains("| silently wrong | said: right hip flexion active one ten | heard: "),
        "{line}"
    );
    for part in [
        "4 of 4 cases heard",
        "exactly right",
        "9.5–90.5",
        "side: left → right",
        "Decoding, 4 utterances",
    ] {
        assert!(text.contains(part), "no \"{part}\" in {text}");
    }
}

#[test]
fn what_cannot_be_read_is_listed_and_the_rest_is_reported() {
    let folder = tempfile::tempdir().expect("a folder");
    let name = "confirm";
    let text = std::fs::read_to_string(sample(name).join("case.toml")).expect("its case");
    case(folder.path(), "a-whole", &text, name);
    case(folder.path(), "b-broken", "outcome = \"tlak\"\n", name);
    case(folder.path(), "c-no-sound", &text, name);
    std::fs::write(folder.path().join("c-no-sound/speech.wav"), "no sound").expect("written");
    case(folder.path(), "d-no-file", &text, name);
    std::fs::remove_file(folder.path().join("d-no-file/speech.wav")).expect("removed");
    let output = evaluate(&[folder.path().to_str().expect("UTF-8"), "--json"]);
    assert_eq!(output.status.code(), Some(1));
    let said = complaint(&output);
    assert!(
        said.contains("3 of 4 cases could not be read or heard; the report leaves them out"),
        "{said}"
    );
    let report = document(&output);
    assert_eq!(
        (&report["heard"], report["utterances"].as_array().map(Vec::len)),
        (&json!(1), Some(1))
    );
    let why: Vec<&str> = report["unread"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|unread| unread["why"].as_str())
        .collect();
    assert!(
        why[0].contains("b-broken") && why[0].contains("line 1: there is no outcome \"tlak\""),
        "{why:?}"
    );
    assert!(why[1].contains("c-no-sound"), "{why:?}");
    assert!(why[2].contains("d-no-file"), "{why:?}");
}

#[test]
fn folders_that_are_not_there_or_hold_nothing() {
    let output = evaluate(&["no-such-folder"]);
    assert_eq!((output.status.code(), output.stdout.len()), (Some(1), 0));
    assert!(
        complaint(&output).contains("there is no folder no-such-folder; check its name"),
        "{output:?}"
    );
    let empty = tempfile::tempdir().expect("a folder");
    let output = evaluate(&[empty.path().to_str().expect("UTF-8")]);
    assert_eq!(output.status.code(), Some(1));
    assert!(
        complaint(&output).contains("a case is a folder with speech.wav and case.toml in it"),
        "{output:?}"
    );
    assert_eq!(evaluate(&[]).status.code(), Some(2));
    assert_eq!(evaluate(&["audio-samples", "--jobs", "0"]).status.code(), Some(2));
}

/// What another recogniser wrote is read and judged as what is heard here.
#[test]
fn transcripts_of_another_recogniser_are_judged_by_the_same_code() {
    let folder = tempfile::tempdir().expect("a folder");
    cases(folder.path());
    let path = folder.path().to_str().expect("UTF-8");
    let file = folder.path().join("other.jsonl");
    let file_name = file.to_str().expect("UTF-8");
    std::fs::write(
        &file,
        "{\"case\": \"correction-45\", \"text\": \"Correction, 45.\", \"ms\": 120}\n\n\
         {\"case\": \"other side\", \"text\": \"right hip flexion active 110\", \"ms\": 240.5}\n\
         {\"case\": \"right-hip-flexion-active-110\", \"text\": \"the write hip\", \"ms\": 360}\n",
    )
    .expect("written");
    let report = document(&evaluate(&[path, "--json", "--transcripts", file_name]));
    let verdicts: Vec<Value> = report["utterances"]
        .as_array()
        .expect("utterances")
        .iter()
        .map(|one| json!([one["case"], one["verdict"]]))
        .collect();
    assert_eq!(
        json!(verdicts),
        json!([
            ["correction-45", "exactly right"],
            ["right-hip-flexion-active-110", "missed"],
            ["other side", "silently wrong"],
        ])
    );
    assert_eq!(
        (
            &report["model"],
            &report["heard"],
            &report["latency"]["median_ms"]
        ),
        (&json!("other"), &json!(3), &json!(240.5))
    );
    for (written, complaint_about) in [
        (
            "{\"case\": \"none of them\", \"text\": \"\", \"ms\": 1}\n",
            "other.jsonl says nothing of these cases",
        ),
        (
            "{\"case\": \"correction-45\"}\n",
            "other.jsonl line 1: missing field `text`",
        ),
    ] {
        std::fs::write(&file, written).expect("written");
        let output = evaluate(&[path, "--transcripts", file_name]);
        assert_eq!(output.status.code(), Some(1));
        assert!(
            complaint(&output).contains(complaint_about),
            "{}",
            complaint(&output)
        );
    }
}
