//! The program is killed at 200 random moments of a recorded visit: nothing that was announced is lost, nothing is there twice,
//! and nothing is recorded that was not confirmed.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use couchside::hear::{SAMPLE_RATE, read_wav, write_wav};
use couchside::record::{Passphrase, Record};
use serde_json::Value;

const PASSPHRASE: &str = "a long throw-away passphrase";
const KILLS: u64 = 200;
/// Whatever it is, the moments are the same every time, as shares of how long a visit takes.
const SEED: u64 = 20_261_126;

/// What is said in the visit, and the degrees of what is confirmed of it, in order. The last finding is not confirmed.
const SAID: [&str; 5] = [
    "right-hip-flexion-active-110",
    "confirm",
    "left-hip-abduction-passive-40-firm",
    "confirm",
    "left-knee-flexion-active-130-degrees",
];
const CONFIRMED: [i32; 2] = [110, 40];

fn visit(home: &Path) {
    let mut sound = vec![0.0; SAMPLE_RATE as usize / 2];
    for sample in SAID {
        let path = format!("{}/audio-samples/{sample}/speech.wav", env!("CARGO_MANIFEST_DIR"));
        sound.extend(read_wav(path.as_ref()).expect("a sample"));
        sound.resize(sound.len() + SAMPLE_RATE as usize, 0.0);
    }
    write_wav(&home.join("visit.wav"), &sound).expect("it can be written");
    write_wav(&home.join("silence.wav"), &vec![0.0; SAMPLE_RATE as usize]).expect("it can be written");
}

/// Listens to a recording, to the end or until it is killed; what it announced, and how long that took.
fn listen(
    home: &Path,
    client: &str,
    recording: &str,
    killed_after: Option<Duration>,
) -> (Vec<Value>, Duration) {
    let began = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_couchside"))
        .args(["listen", "--json", "--client", client, "--from"])
        .arg(home.join(recording))
        .env("COUCHSIDE_HOME", home)
        .env("COUCHSIDE_PASSPHRASE_FILE", home.join("passphrase"))
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("it starts");
    let stdout = child.stdout.take().expect("it is piped");
    let reader = std::thread::spawn(move || {
        let lines = BufReader::new(stdout).lines().map_while(Result::ok);
        // The last line may be half a line.
        lines
            .filter_map(|line| serde_json::from_str(&line).ok())
            .collect::<Vec<Value>>()
    });
    if let Some(after) = killed_after {
        std::thread::sleep(after);
        child.kill().expect("it is killed");
    }
    let status = child.wait().expect("it ends");
    assert!(killed_after.is_some() || status.success());
    (reader.join().expect("it is read"), began.elapsed())
}

fn numbers(events: &[Value], name: &str) -> Vec<i64> {
    let named = events.iter().filter(|event| event["event"] == name);
    named.filter_map(|event| event["id"].as_i64()).collect()
}

#[test]
fn killed_at_any_moment_nothing_is_lost_doubled_or_made_up() {
    let folder = tempfile::tempdir().expect("a folder");
    let home = folder.path();
    visit(home);
    std::fs::write(home.join("passphrase"), PASSPHRASE).expect("it can be written");
    let passphrase = Passphrase::new(PASSPHRASE.into()).expect("not empty");
    let mut record = Record::create(home, &passphrase).expect("a record");
    let (events, lasts) = listen(home, "whole", "visit.wav", None);
    assert_eq!(numbers(&events, "recorded").len(), CONFIRMED.len(), "{events:?}");
    assert_eq!(numbers(&events, "proposed").len(), 3, "{events:?}");

    let (mut random, mut cut_short) = (SEED, 0);
    for kill in 0..KILLS {
        // Knuth's generator (MMIX); its high bits.
        random = random
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let share = (random >> 33) as f64 / f64::from(1_u32 << 31);
        let client = format!("kill-{kill}");
        let (events, _) = listen(home, &client, "visit.wav", Some(lasts.mul_f64(share)));
        let announced = numbers(&events, "recorded");
        cut_short += u64::from(announced.len() < CONFIRMED.len());
        let Ok(case) = record.case(&client) else {
            assert!(
                events.is_empty(),
                "{client}: announced, and the client is not there: {events:?}"
            );
            continue;
        };
        let kept: Vec<_> = case.visits.iter().flat_map(|visit| &visit.findings).collect();
        let degrees: Vec<i32> = kept
            .iter()
            .filter_map(|kept| Some(kept.finding.degrees.as_ref()?.to))
            .collect();
        assert!(
            CONFIRMED.starts_with(&degrees),
            "{client}: {degrees:?} is recorded"
        );
        let numbers_kept: Vec<i64> = kept.iter().map(|kept| kept.id).collect();
        assert!(
            numbers_kept.starts_with(&announced),
            "{client}: announced {announced:?}, kept {numbers_kept:?}"
        );
        let id = record.visit_for(&client).expect("its visit");
        let pending: Vec<i64> = record
            .pending(id)
            .expect("it is read")
            .iter()
            .map(|p| p.id)
            .collect();
        let proposed = numbers(&events, "proposed");
        assert!(
            pending.len() + kept.len() >= proposed.len(),
            "{client}: proposed {proposed:?}, pending {pending:?}, kept {numbers_kept:?}"
        );
        // What waits is offered again on the next start.
        if kill % 20 == 0 {
            let (offered, _) = listen(home, &client, "silence.wav", None);
            assert_eq!(numbers(&offered, "proposed"), pending, "{client}");
        }
    }
    println!("{KILLS} kills within {lasts:.2?}, {cut_short} before everything was recorded");
    assert!(
        cut_short > KILLS / 4,
        "only {cut_short} kills came before the end"
    );
    record.verify().expect("the record is whole");
}
