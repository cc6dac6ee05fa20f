//! `couchside model …` as it is run.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use super::synthetic;

fn couchside(models: &Path, words: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_couchside"));
    command
        .args(words)
        .env("COUCHSIDE_MODELS", models)
        .output()
        .unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

#[test]
fn list_says_what_is_here_and_how_to_get_the_rest() {
    let place = tempfile::tempdir().unwrap();
    fs::write(place.path().join("ggml-mine.bin"), "").unwrap();
    fs::write(place.path().join("ggml-base.bin"), "").unwrap();
    let output = couchside(place.path(), &["model", "list"]);
    let expected = format!(
        "speech models in {}
  tiny.en          77.70 MB  English, MIT; not here: get it with `models-readme/fetch.sh tiny.en`
  base            147.95 MB  English and 98 others, MIT; here
  tiny.en-joints   77.70 MB  English, MIT, the default; not here: get it with `make model`
  mine                  0 B  not a published model, added by you; here
",
        place.path().display()
    );
    assert_eq!(text(&output.stdout), expected);
    assert!(output.status.success());
}

#[test]
fn check_fails_at_the_first_fault() {
    let place = tempfile::tempdir().unwrap();
    let output = couchside(place.path(), &["model", "check"]);
    assert_eq!(output.status.code(), Some(1));
    let message = text(&output.stderr);
    assert!(
        message.starts_with("couchside: the speech model tiny.en-joints is not on this computer (looked in "),
        "{message}"
    );
    assert!(message.contains("get it with `make model`"), "{message}");
    fs::write(place.path().join("ggml-base.bin"), "ggml").unwrap();
    let output = couchside(place.path(), &["model", "check", "base"]);
    assert_eq!(output.status.code(), Some(1));
    let message = text(&output.stderr);
    assert!(
        message.contains("ggml-base.bin can't be used as a speech model: it does not begin"),
        "{message}"
    );
    // A whole model in the place of a published one is not enough.
    fs::write(place.path().join("ggml-base.bin"), synthetic::ggml()).unwrap();
    let message = text(&couchside(place.path(), &["model", "check", "base"]).stderr);
    assert!(
        message.contains("is not the published speech model base: it has "),
        "{message}"
    );
    assert!(
        message.ends_with("fetch it again with `models-readme/fetch.sh base`\n"),
        "{message}"
    );
}

#[test]
fn adapt_says_what_it_needs() {
    let place = tempfile::tempdir().unwrap();
    for (words, message) in [
        (
            &["model", "adapt"][..],
            "is one that an adapted model is made of; get tiny.en first with `make model`",
        ),
        (
            &["model", "adapt", "base"],
            "there is no adapted model base that this program could make",
        ),
        (
            &["model", "adapt", "tiny.en-joints"],
            "the speech model tiny.en is not on this computer (looked in ",
        ),
    ] {
        let output = couchside(place.path(), words);
        assert_eq!(output.status.code(), Some(1));
        let said = text(&output.stderr);
        assert!(said.contains(message), "{said}");
    }
    assert_eq!(fs::read_dir(place.path()).unwrap().count(), 0);
}

#[test]
fn an_unknown_model_is_added_checked_and_vouched_for() {
    let place = tempfile::tempdir().unwrap();
    let (models, source) = (place.path().join("models"), place.path().join("source"));
    synthetic::folder(&source);
    let source = source.to_str().unwrap();
    let output = couchside(&models, &["model", "add", source]);
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stderr).contains("this is not one of the published models"));
    let output = couchside(
        &models,
        &["model", "add", source, "--allow-unknown-model", "--name", "mine"],
    );
    assert!(output.status.success(), "{}", text(&output.stderr));
    assert!(text(&output.stdout).contains("you vouch for it"));
    // No terminal: plain lines instead of bars.
    assert_eq!(text(&output.stderr), "reading, 7.18 MB\nconverting, 7.99 MB\n");
    let output = couchside(&models, &["model", "check", "mine"]);
    assert!(output.status.success());
    assert!(text(&output.stdout).starts_with("mine: whole, but not a published model"));
}

#[test]
fn the_folder_is_the_users_and_not_moved_with_the_record() {
    let place = tempfile::tempdir().unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_couchside"));
    command
        .args(["model", "list"])
        .env_remove("COUCHSIDE_MODELS")
        .env("HOME", place.path());
    command
        .env_remove("XDG_DATA_HOME")
        .env("COUCHSIDE_HOME", "/elsewhere");
    let first = text(&command.output().unwrap().stdout)
        .lines()
        .next()
        .unwrap()
        .to_string();
    assert!(
        first.starts_with(&format!("speech models in {}", place.path().display())),
        "{first}"
    );
    assert!(
        first.contains("couchside") && first.ends_with("models"),
        "{first}"
    );
}

/// The system refuses to let the file grow, as it does when the disk is full. Works for every user.
#[cfg(unix)]
#[test]
fn a_disk_that_takes_no_more_leaves_no_file() {
    let place = tempfile::tempdir().unwrap();
    let (models, source) = (place.path().join("models"), place.path().join("source"));
    synthetic::folder(&source);
    let script =
        r#"trap '' XFSZ; ulimit -f 4000; exec "$0" model add "$1" --allow-unknown-model --name mine"#;
    let output = Command::new("sh")
        .args(["-c", script, env!("CARGO_BIN_EXE_couchside")])
        .arg(&source)
        .env("COUCHSIDE_MODELS", &models)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1));
    let message = text(&output.stderr);
    assert!(
        message.contains(&format!(
            "couchside: could not write the model into {}: ",
            models.display()
        )),
        "{message}"
    );
    assert_eq!(fs::read_dir(&models).unwrap().count(), 0);
}
