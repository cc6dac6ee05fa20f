//! `couchside grammar …` as it is run, and a therapist's own words.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use couchside::grammar::{Grammar, Source};
use serde_json::{Value, json};
use tempfile::TempDir;

/// Runs the program with `home` as its data folder.
fn couchside(home: &Path, words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_couchside"))
        .args(words)
        .env("COUCHSIDE_HOME", home)
        .output()
        .unwrap()
}

fn out(output: &Output) -> String {
    assert!(output.status.success(), "{output:?}");
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn said(output: &Output) -> String {
    assert_eq!(output.status.code(), Some(1), "{output:?}");
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// A data folder with these words.
fn with_words(words: &str) -> TempDir {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("words.toml"), words).unwrap();
    home
}

fn findings(home: &Path, words: &str) -> Value {
    let line: Value = serde_json::from_str(&out(&couchside(home, &["parse", words]))).unwrap();
    line["findings"].clone()
}

#[test]
fn own_words_mean_what_they_stand_for_in_every_frame() {
    let home = with_words(
        "[[add]]\nsay = [\"gristly\", \"like gristle\"]\nmeans = \"firm\"\n\
         [[add]]\nsay = \"heel to bum\"\nmeans = \"knee flexion\"\n\
         [[add]]\nsay = \"{degrees} clicks of bend\"\nmeans = \"{degrees} degrees\"\n\
         [[add]]\nsay = \"sinister\"\nmeans = \"left\"\n\
         [[add]]\nsay = \"tick it off\"\nmeans = \"confirm\"\n",
    );
    let firm = json!([{
        "kind": "movement", "side": "left", "joint": "knee", "movement": "flexion", "mode": "passive",
        "degrees": { "to": 120 }, "end_feel": "firm"
    }]);
    for words in [
        "left heel to bum passive one twenty gristly",
        "left knee flexion passive one twenty a gristly end feel at end range",
        "sinister knee flexion passive one twenty clicks of bend end feel is like gristle",
        "heel to bum passive one twenty gristly on the sinister side",
    ] {
        assert_eq!(findings(home.path(), words), firm, "{words}");
    }
    let control = out(&couchside(home.path(), &["parse", "tick it off"]));
    assert!(control.contains(r#""control":"confirm""#), "{control}");
    let without = tempfile::tempdir().unwrap();
    assert_ne!(
        findings(without.path(), "left heel to bum passive one twenty gristly"),
        firm
    );
}

#[test]
fn own_words_are_part_of_the_version() {
    let version = |words: &str| {
        let source = Source::carried().with_own_words(words.into(), Path::new("words.toml"));
        Grammar::load(&source).unwrap().version
    };
    let carried = Grammar::carried().unwrap().version;
    let one = version("[[add]]\nsay = \"gristly\"\nmeans = \"firm\"\n");
    assert_ne!(one, carried);
    assert_ne!(one, version("[[add]]\nsay = \"gristly\"\nmeans = \"hard\"\n"));
}

/// Each slip: the file, the line and column, the reason and the remedy.
#[test]
fn a_slip_in_own_words_stops_the_program_and_says_how_to_go_on() {
    let cases = [
        (
            "say = \"gristly\"\nmeans = \"frim\"",
            "3:9",
            "couchside does not know `frim`",
            "did you mean `firm`?",
        ),
        (
            "say = \"gristly\"\nmeans = \"zzz\"",
            "3:9",
            "couchside does not know `zzz`",
            "`couchside grammar say` shows",
        ),
        (
            "say = \"gristly\"\nmean = \"firm\"",
            "3:1",
            "unknown field `mean`",
            "`couchside grammar words` shows",
        ),
        (
            "say = \"gristly\"",
            "1:1",
            "missing field `means`",
            "`couchside grammar words` shows",
        ),
        (
            "say = []\nmeans = \"firm\"",
            "2:7",
            "`say` is empty",
            "between quotation marks",
        ),
        (
            "say = 3\nmeans = \"firm\"",
            "2:7",
            "expected words in quotation marks",
            "`couchside grammar words` shows",
        ),
        (
            "say = [\"hard\"]\nmeans = \"firm\"",
            "2:8",
            "`hard` already means the end feel `hard`",
            "choose other words",
        ),
        (
            "say = \"rub [x\"\nmeans = \"firm\"",
            "2:14",
            "`]` is missing",
            "close what is opened",
        ),
        (
            "say = \"{degrees} x\"\nmeans = \"firm\"",
            "2:7",
            "do not hold the same numbers",
            "in the same order",
        ),
        (
            "say = \"{angle} x\"\nmeans = \"firm\"",
            "2:7",
            "there is no kind of number `{angle}`",
            "use `{degrees}`",
        ),
        (
            "say = \"x\"\nmeans = \"firm [feel]\"",
            "3:9",
            "`means` stands for several wordings",
            "one wording",
        ),
        (
            "say = \"x\"\nmeans = \"firm\"\nof = \"sign\"",
            "4:6",
            "couchside knows no sign `firm`",
            "leave `of` out",
        ),
        (
            "say = \"recorded\"\nmeans = \"confirm\"",
            "2:7",
            "couchside itself says `Recorded.`",
            "choose words",
        ),
    ];
    for (entry, at, reason, remedy) in cases {
        let home = with_words(&format!("[[add]]\n{entry}\n"));
        let place = home.path().join("words.toml");
        for command in [&["parse", "x"][..], &["grammar", "words"], &["grammar", "size"]] {
            let message = said(&couchside(home.path(), command));
            assert!(
                message.starts_with("couchside: your own words can't be used: "),
                "{message}"
            );
            assert!(
                message.contains(&format!("--> {}:{at}\n", place.display())),
                "{message}"
            );
            assert!(message.contains(reason) && message.contains(remedy), "{message}");
            assert!(
                message.ends_with("or move the file away to go on without your own words\n"),
                "{message}"
            );
        }
    }
}

#[test]
fn a_wording_with_two_meanings_asks_which() {
    let files = tempfile::tempdir().unwrap();
    super::grammar_errors::copy(&super::grammar_errors::root().join("grammars"), files.path());
    super::grammar_errors::copy(
        &super::grammar_errors::root().join("tests/errors/check-overlap"),
        files.path(),
    );
    let load = |of: &str| {
        let words = format!("[[add]]\nsay = \"crunching\"\nmeans = \"crepitus\"\n{of}");
        let source = Source::folder(files.path()).unwrap();
        Grammar::load(&source.with_own_words(words, Path::new("words.toml")))
            .map_err(|error| error.to_string())
    };
    let message = load("").err().unwrap();
    assert!(message.starts_with("`crepitus` is said of the "), "{message}");
    assert!(message.contains("of = \"sign\""), "{message}");
    assert!(load("of = \"sign\"\n").is_ok());
}

#[test]
fn a_file_of_own_words_that_is_no_text_is_named() {
    let home = tempfile::tempdir().unwrap();
    fs::write(home.path().join("words.toml"), b"\xff\xfe").unwrap();
    let message = said(&couchside(home.path(), &["parse", "x"]));
    assert!(message.contains("words.toml can't be read: "), "{message}");
    assert!(message.contains("move it away to go on"), "{message}");
}

#[test]
fn words_shows_where_they_are_and_what_is_in_them_or_how_to_begin() {
    let home = tempfile::tempdir().unwrap();
    let place = home.path().join("words.toml");
    let text = out(&couchside(home.path(), &["grammar", "words"]));
    assert!(
        text.contains(&place.display().to_string()) && text.contains("[[add]]"),
        "{text}"
    );
    // The example works as it is shown.
    let example: Vec<&str> = text
        .lines()
        .filter(|line| line.starts_with("    "))
        .skip(1)
        .collect();
    fs::write(&place, example.join("\n")).unwrap();
    let text = out(&couchside(home.path(), &["grammar", "words"]));
    assert!(
        text.contains("\"gristly\", \"like gristle\" means firm"),
        "{text}"
    );
    fs::write(&place, "").unwrap();
    let text = out(&couchside(home.path(), &["grammar", "words"]));
    assert!(text.starts_with("There are no words in the file"), "{text}");
}

#[test]
fn check_prints_every_check_and_ends_with_1_if_any_fails() {
    let home = tempfile::tempdir().unwrap();
    let text = out(&couchside(home.path(), &["grammar", "check"]));
    assert_eq!(
        text.lines().filter(|line| line.starts_with("ok ")).count(),
        17,
        "{text}"
    );
    let missing = home.path().join("nowhere");
    let message = said(&couchside(
        home.path(),
        &["grammar", "check", missing.to_str().unwrap()],
    ));
    assert!(
        message.contains("could not read the grammar files in "),
        "{message}"
    );
    let own = with_words("[[add]]\nsay = \"bend\"\nmeans = \"flexion\"\n");
    let output = couchside(own.path(), &["grammar", "check"]);
    let text = String::from_utf8(output.stdout.clone()).unwrap();
    assert!(text.contains("WRONG  talk-is-not-dictation"), "{text}");
    assert!(
        text.contains(&format!("--> {}:2:7", own.path().join("words.toml").display())),
        "{text}"
    );
    assert_eq!(
        said(&output),
        "couchside: one check found something wrong; it is shown above\n"
    );
}

#[test]
fn the_guide_fits_its_page_and_knows_a_joint_by_any_name() {
    let home = tempfile::tempdir().unwrap();
    let page = out(&couchside(home.path(), &["grammar", "say", "knee"]));
    assert!(page.starts_with("KNEE\n===="), "{page}");
    for words in [
        "tibial internal rotation",
        "Lachman",
        "quadriceps",
        "capsular",
        "what remains",
        "crepitus",
    ] {
        assert_eq!(page.contains(words), words != "crepitus", "{words}:\n{page}");
    }
    assert!(page.lines().all(|line| line.chars().count() <= 80), "{page}");
    assert_eq!(
        page,
        out(&couchside(home.path(), &["grammar", "say", "Knee", "joint"]))
    );
    let all = out(&couchside(home.path(), &["grammar", "say"]));
    assert!(
        all.contains("JOINTS") && all.contains("hip") && !all.contains("tibial"),
        "{all}"
    );
    let unknown = couchside(home.path(), &["grammar", "say", "nose"]);
    assert_eq!(unknown.status.code(), Some(2));
    let message = String::from_utf8(unknown.stderr).unwrap();
    assert!(
        message.starts_with("couchside: there is no joint `nose`; these are known: "),
        "{message}"
    );
}

#[test]
fn the_page_of_each_joint_holds_what_can_be_said_of_it() {
    let home = tempfile::tempdir().unwrap();
    let grammar = Grammar::carried().unwrap();
    for joint in &grammar.joints {
        let page = out(&couchside(home.path(), &["grammar", "say", &joint.name]));
        assert!(page.lines().count() <= 75, "{}\n{page}", page.lines().count());
        assert!(page.lines().all(|line| line.chars().count() <= 80), "{page}");
        // Each example is a finding of this joint, and there is one at least.
        let examples: Vec<&str> = page
            .lines()
            .filter_map(|line| line.trim().strip_prefix('"'))
            .collect();
        assert!(!examples.is_empty(), "{page}");
        for example in examples {
            let findings = findings(home.path(), example.trim_end_matches('"'));
            // A muscle is recorded without its joint.
            let of = &findings[0]["joint"];
            assert!(
                of == &json!(joint.name) || findings[0]["kind"] == "muscle",
                "{example}: {findings}"
            );
        }
        let side = page.lines().find(|line| line.starts_with("SIDE"));
        let sided = joint.sided || joint.movements.iter().any(|movement| movement.sided);
        assert_eq!(side.is_some(), sided, "{page}");
    }
    let page = |joint| out(&couchside(home.path(), &["grammar", "say", joint]));
    // Not every joint goes so far, and only the hand behind the back reaches a mark.
    let (neck, shoulder, foot) = (page("cervical spine"), page("shoulder"), page("subtalar"));
    assert!(
        !foot.contains("one ten") && shoulder.contains("one ten"),
        "{foot}"
    );
    assert!(
        !neck.contains("to the sacrum") && shoulder.contains("to the sacrum"),
        "{neck}"
    );
    // Letters that are said one by one are capitals.
    assert!(
        neck.contains("U L T T") && shoulder.contains("A B duction"),
        "{neck}"
    );
}

/// Names of rules that are called and that are made.
fn rules(text: &str, called: &str, made: &str) -> (Vec<String>, Vec<String>) {
    let all = |pattern| {
        let pattern = regex::Regex::new(pattern).unwrap();
        let mut names: Vec<String> = pattern
            .captures_iter(text)
            .map(|name| name[1].to_string())
            .collect();
        names.sort();
        names
    };
    (all(called), all(made))
}

#[test]
fn exports_call_only_rules_that_they_make_once() {
    let home = tempfile::tempdir().unwrap();
    let jsgf = out(&couchside(home.path(), &["grammar", "export", "--jsgf"]));
    assert!(jsgf.starts_with("#JSGF V1.0 UTF-8 en;\n"));
    let srgs = out(&couchside(home.path(), &["grammar", "export", "--srgs"]));
    for (text, called, made) in [
        (
            &jsgf,
            r"[ (\[]<([a-z0-9_]+)>(?: =)?",
            r"(?m)^(?:public )?<([a-z0-9_]+)> =",
        ),
        (
            &srgs,
            "<ruleref uri=\"#([a-z0-9_]+)\"",
            "<rule id=\"([a-z0-9_]+)\"",
        ),
    ] {
        let (called, made) = rules(text, called, made);
        let mut once = made.clone();
        once.dedup();
        assert_eq!(once, made);
        assert!(made.len() > 20 && called.len() > made.len());
        assert!(
            called.iter().all(|name| made.contains(name)),
            "{called:?} {made:?}"
        );
    }
    // One rule for each place, and spoken numbers instead of digits.
    for rule in [
        "side",
        "joint",
        "movement",
        "mode",
        "end_feel",
        "sign",
        "control",
        "number_degrees",
    ] {
        assert!(jsgf.contains(&format!("\n<{rule}> =")), "{rule}");
        assert!(srgs.contains(&format!("<rule id=\"{rule}\">")), "{rule}");
    }
    assert!(!jsgf.contains(" 10 ") && jsgf.contains("hundred"));
    let neither = couchside(home.path(), &["grammar", "export"]);
    assert_eq!(neither.status.code(), Some(2));
}

#[test]
fn size_counts_what_there_is() {
    let home = tempfile::tempdir().unwrap();
    let text = out(&couchside(home.path(), &["grammar", "size"]));
    let count = |what: &str| -> usize {
        let line = text.lines().find(|line| line.starts_with(what)).unwrap();
        line.split_whitespace().nth(1).unwrap().parse().unwrap()
    };
    // A tree has one arc fewer than states.
    assert_eq!(count("states"), count("arcs") + 1, "{text}");
    let grammar = Grammar::carried().unwrap();
    assert_eq!((count("states"), count("fragments")), grammar.automaton.size());
    assert!(
        count("wordings") > 1000 && text.contains("memory, estimated"),
        "{text}"
    );
}
