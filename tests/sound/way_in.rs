//! A cue and a key, with the program as it is run: of two findings in a recording only the one that comes with it is kept.

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use couchside::hear::{SAMPLE_RATE, read_wav, write_wav};
use serde_json::Value;

use super::made::spoken;

fn couchside(home: &Path, words: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_couchside"));
    command
        .args(words)
        .env("COUCHSIDE_HOME", home)
        .env("COUCHSIDE_PASSPHRASE_FILE", home.join("passphrase"));
    command
}

fn done(home: &Path, words: &[&str]) -> String {
    let output = couchside(home, words).output().expect("it runs");
    assert!(output.status.success(), "{output:?}");
    String::from_utf8(output.stdout).expect("it is text")
}

/// A home with these settings, in which there is a recording of `clips`, two seconds apart; where each ends, in seconds.
fn home(settings: &[[&str; 2]], clips: &[Vec<f32>]) -> (tempfile::TempDir, Vec<f64>) {
    let home = tempfile::tempdir().expect("a folder");
    std::fs::write(home.path().join("passphrase"), "a long throw-away passphrase\n")
        .expect("it can be written");
    done(home.path(), &["record", "new"]);
    for [name, value] in settings {
        done(home.path(), &["settings", name, value]);
    }
    let mut sound = vec![0.0; SAMPLE_RATE as usize];
    let mut ends = Vec::new();
    for clip in clips {
        sound.extend(clip);
        ends.push(sound.len() as f64 / f64::from(SAMPLE_RATE));
        sound.resize(sound.len() + 2 * SAMPLE_RATE as usize, 0.0);
    }
    write_wav(&home.path().join("visit.wav"), &sound).expect("it can be written");
    (home, ends)
}

fn sample(name: &str) -> Vec<f32> {
    let path = format!("{}/audio-samples/{name}/speech.wav", env!("CARGO_MANIFEST_DIR"));
    read_wav(path.as_ref()).expect("a sample")
}

/// The degrees of what is in the record.
fn kept(home: &Path) -> Vec<i64> {
    let case: Value =
        serde_json::from_str(&done(home, &["show", "--client", "demo-1", "--json"])).expect("JSON");
    let findings = case["visits"][0]["findings"]
        .as_array()
        .cloned()
        .unwrap_or_default();
    let degrees = findings
        .iter()
        .map(|kept| kept["finding"]["degrees"]["to"].as_i64());
    degrees
        .map(|degrees| degrees.expect("a finding with degrees"))
        .collect()
}

#[test]
fn what_has_no_cue_before_it_is_not_kept() {
    let folder = tempfile::tempdir().expect("a folder");
    let says = |text: &str| spoken(folder.path(), "flite", "slt", text);
    let (home, _) = home(
        &[["cue", "mercury"], ["way-in", "cue"]],
        &[
            says("right knee flection active one hundred and ten degrees"),
            says("mercury, left knee flection active one hundred and thirty degrees"),
            says("confirm"),
        ],
    );
    let visit = home.path().join("visit.wav");
    done(
        home.path(),
        &[
            "listen",
            "--client",
            "demo-1",
            "--from",
            visit.to_str().expect("text"),
        ],
    );
    assert_eq!(kept(home.path()), [130]);
}

/// Runs the visit of two findings at its own speed; `press` is called as the key is to be pressed, with seconds to wait until then
/// and seconds for which it is held.
fn with_key(way_in: &str, stdin: Stdio, mut press: impl FnMut(f64, f64)) -> Vec<i64> {
    let clips = [
        sample("right-hip-flexion-active-110"),
        sample("left-hip-abduction-passive-40-firm"),
        sample("confirm"),
    ];
    let second_s = clips[1].len() as f64 / f64::from(SAMPLE_RATE);
    let (home, ends) = home(&[["way-in", way_in]], &clips);
    let visit = home.path().join("visit.wav");
    let words = [
        "listen",
        "--client",
        "demo-1",
        "--json",
        "--realtime",
        "--from",
        visit.to_str().expect("text"),
    ];
    let mut child = couchside(home.path(), &words)
        .stdin(stdin)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("it starts");
    let mut events = BufReader::new(child.stdout.take().expect("it is piped")).lines();
    // Whether sound is kept is said as it begins.
    events.next().expect("an event").expect("it is text");
    let rest = std::thread::spawn(move || events.count());
    press(ends[0] + 1.0, second_s + 0.5);
    assert!(child.wait().expect("it ends").success());
    rest.join().expect("it is read");
    kept(home.path())
}

#[test]
fn only_what_is_said_while_a_key_is_held_is_kept() {
    use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};

    let terminal = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).expect("a terminal");
    grantpt(&terminal).expect("it is ours");
    unlockpt(&terminal).expect("it can be used");
    let name = ptsname(&terminal, Vec::new()).expect("it has a name");
    let open = || {
        std::fs::OpenOptions::new()
            .read(true)
            .write(true)
            .open(name.to_str().expect("text"))
    };
    let there = open().expect("the other end");
    let mut keyboard = std::fs::File::from(terminal);
    let kept = with_key(
        "key-held",
        open().expect("the other end").into(),
        |wait_s, held_s| {
            std::thread::sleep(Duration::from_secs_f64(wait_s));
            for _ in 0..(held_s / 0.05) as usize {
                keyboard.write_all(b" ").expect("it is pressed");
                std::thread::sleep(Duration::from_millis(50));
            }
        },
    );
    assert_eq!(kept, [40]);
    // The terminal is as it was: whole lines, and what is typed is shown.
    use rustix::termios::{LocalModes, tcgetattr};
    let modes = tcgetattr(&there).expect("a terminal").local_modes;
    assert!(modes.contains(LocalModes::ICANON | LocalModes::ECHO));
}

#[test]
fn only_what_is_said_after_a_key_is_tapped_is_kept() {
    let (reader, mut writer) = std::io::pipe().expect("a pipe");
    let kept = with_key("key-tapped", reader.into(), |wait_s, _| {
        std::thread::sleep(Duration::from_secs_f64(wait_s));
        writer.write_all(b"x").expect("it is tapped");
    });
    assert_eq!(kept, [40]);
}
