//! What a visit teaches: what was misheard, and then said again, dropped or corrected, and confirmed.

use std::path::Path;

use couchside::hear::search::Hypothesis;
use couchside::hear::{ByEar, Heard};
use couchside::learn::{Learnt, Lessons, misheard};

use super::{grammar, heard, lines, visit};

/// What the model wrote of an utterance, and the sentence that was read in it; none if nothing was.
fn utterance(free: &str, sentence: Option<&str>, at_s: f64) -> Heard {
    let mut one = heard(free);
    (one.start_s, one.end_s) = (at_s, at_s + 2.0);
    one.sentences = match sentence {
        Some(text) => vec![Hypothesis {
            text: text.into(),
            ..one.sentences[0].clone()
        }],
        None => Vec::new(),
    };
    one
}

/// A visit that goes on from what was learnt in `home`.
fn listen(home: &Path, utterances: &[(&str, Option<&str>)]) {
    let learnt = Learnt::load(home).expect("no slip in it");
    let lessons = Lessons::new(learnt, home.into(), "tiny.en", grammar());
    let mut visit = visit(home).with_lessons(lessons, 0.0);
    for (number, (free, sentence)) in utterances.iter().enumerate() {
        let heard = utterance(free, *sentence, 4.0 * number as f64);
        visit.take(&heard).expect("the record can be written");
    }
}

const MISHEARD: &str = "left a doctor long is tender";
const SAID: &str = "left adductor longus tender";
const CONFIRM: (&str, Option<&str>) = ("confirm", Some("confirm"));

fn aliases(home: &Path) -> Vec<(String, String, bool)> {
    let learnt = Learnt::load(home).expect("no slip in it");
    let row =
        |alias: &couchside::learn::Alias| (alias.heard.clone(), alias.means.clone(), alias.is_trusted());
    learnt.alias.iter().map(row).collect()
}

fn expected(trusted: bool) -> Vec<(String, String, bool)> {
    vec![("a doctor long is".into(), "adductor longus".into(), trusted)]
}

#[test]
fn what_is_said_again_and_confirmed_teaches_and_counts_the_second_time() {
    let home = tempfile::tempdir().unwrap();
    let again = [(MISHEARD, None), (SAID, Some(SAID)), CONFIRM];
    listen(home.path(), &again);
    assert_eq!(aliases(home.path()), expected(false));
    listen(home.path(), &again);
    assert_eq!(aliases(home.path()), expected(true));
    let aliases = Learnt::load(home.path()).unwrap().aliases(&grammar());
    let words = grammar().words("right a doctor long is sore");
    assert_eq!(
        aliases.put_right(&words).unwrap().join(" "),
        "right adductor longus sore"
    );
}

#[test]
fn what_is_not_confirmed_teaches_nothing() {
    let home = tempfile::tempdir().unwrap();
    listen(home.path(), &[(MISHEARD, None), (SAID, Some(SAID))]);
    assert!(!Learnt::place(home.path()).exists());
}

#[test]
fn what_is_dropped_and_said_again_teaches() {
    let home = tempfile::tempdir().unwrap();
    let wrong = "left adductor origin tender";
    listen(
        home.path(),
        &[
            (MISHEARD, Some(wrong)),
            ("disregard", Some("disregard")),
            (SAID, Some(SAID)),
            CONFIRM,
        ],
    );
    assert_eq!(aliases(home.path()), expected(false));
}

#[test]
fn a_name_that_is_corrected_teaches() {
    let home = tempfile::tempdir().unwrap();
    let wrong = "left adductor origin tender";
    let correction = "correction adductor longus";
    listen(
        home.path(),
        &[(MISHEARD, Some(wrong)), (correction, Some(correction)), CONFIRM],
    );
    assert_eq!(aliases(home.path()), expected(false));
}

#[test]
fn something_else_said_afterwards_teaches_nothing() {
    let home = tempfile::tempdir().unwrap();
    let other = "right hip flexion active one ten";
    listen(home.path(), &[(MISHEARD, None), (other, Some(other)), CONFIRM]);
    assert_eq!(aliases(home.path()), []);
}

#[test]
fn sides_numbers_and_known_words_are_never_learnt() {
    let (grammar, by_ear) = (grammar(), ByEar::new(grammar()));
    for (heard, said) in [
        ("lift knee tender", "left knee tender"),
        (
            "left knee flexion active fiftine",
            "left knee flexion active fifteen",
        ),
        ("left hip abduction thirty", "left hip adduction thirty"),
        ("conform", "confirm"),
        ("left knee flexion pane free", "left knee flexion pain free"),
        ("do you want the window open", "left adductor longus tender"),
    ] {
        assert_eq!(misheard(&grammar, &by_ear, heard, said), [], "{heard}");
    }
    let learnt = misheard(
        &grammar,
        &by_ear,
        "left a doctor long is tender",
        "left adductor longus tender",
    );
    assert_eq!(
        learnt,
        [("a doctor long is".to_string(), "adductor longus".to_string())]
    );
}

#[test]
fn what_can_not_be_kept_is_told_and_the_finding_is_recorded_all_the_same() {
    let home = tempfile::tempdir().unwrap();
    let nowhere = home.path().join("no such folder");
    let lessons = Lessons::new(Learnt::default(), nowhere, "tiny.en", grammar());
    let mut visit = visit(home.path()).with_lessons(lessons, 0.0);
    visit.take(&utterance(SAID, Some(SAID), 0.0)).unwrap();
    let events = visit.take(&utterance("confirm", Some("confirm"), 4.0)).unwrap();
    assert!(lines(&events).iter().any(|line| line.starts_with("recorded ")));
    let error = visit.not_learnt().unwrap().to_string();
    assert!(
        error.contains("can't be written") && error.contains("free space"),
        "{error}"
    );
    assert!(visit.not_learnt().is_none());
}

#[test]
fn a_slip_in_the_file_is_named_and_nothing_is_lost() {
    let home = tempfile::tempdir().unwrap();
    let text = "[[alias]]\nheard = \"a doctor\"\nmeans = 3\n";
    std::fs::write(Learnt::place(home.path()), text).unwrap();
    let error = Learnt::load(home.path()).unwrap_err().to_string();
    assert!(
        error.contains("learnt.toml:3:") && error.contains("move the file away"),
        "{error}"
    );
    assert_eq!(std::fs::read_to_string(Learnt::place(home.path())).unwrap(), text);
}

#[test]
fn it_can_be_listed_and_forgotten() {
    let home = tempfile::tempdir().unwrap();
    let couchside = |words: &[&str]| {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_couchside"));
        let output = command
            .env("COUCHSIDE_HOME", home.path())
            .arg("learnt")
            .args(words);
        let output = output.output().unwrap();
        let text = [output.stdout, output.stderr].concat();
        (output.status.code(), String::from_utf8(text).unwrap())
    };
    let (code, nothing) = couchside(&[]);
    assert!(
        code == Some(0) && nothing.starts_with("Nothing has been learnt"),
        "{nothing}"
    );
    listen(home.path(), &[(MISHEARD, None), (SAID, Some(SAID)), CONFIRM]);
    let (_, page) = couchside(&[]);
    assert!(
        page.contains("“a doctor long is” for adductor longus (helped once)"),
        "{page}"
    );
    assert_eq!(couchside(&["forget", "no", "such"]).0, Some(2));
    assert_eq!(couchside(&["forget", "a", "doctor", "long", "is"]).0, Some(0));
    assert_eq!(aliases(home.path()), []);
}
