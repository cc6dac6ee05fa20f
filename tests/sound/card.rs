//! The microphone and the loudspeaker through the real sound library, on a sound card made of files: ALSA's file
//! plug-in. ALSA reads its settings once, so each test runs in a process of its own.

use std::path::Path;
use std::process::{Command, Output};
use std::time::{Duration, Instant};

use couchside::hear::{Microphone, SAMPLE_RATE};
use couchside::readback::{Mouth, Said, Sounding, Voice};
use tempfile::TempDir;

use super::made::{rms, tone};

const SENTENCE: &str = "right hip, flexion one hundred and ten";

/// A folder with ALSA settings in it. The default device records two seconds of a tone and plays into `out.raw`,
/// both 48 kHz, stereo, 16 bits.
fn card() -> TempDir {
    let folder = TempDir::new().unwrap();
    let recorded: Vec<u8> = tone(48_000, 2.0, 440.0, 0.5)
        .iter()
        .flat_map(|sample| [(sample * 32_767.0) as i16; 2])
        .flat_map(i16::to_le_bytes)
        .collect();
    std::fs::write(folder.path().join("in.raw"), recorded).unwrap();
    let files = format!(
        "type file slave.pcm {{ type null }} infile \"{0}/in.raw\" file \"{0}/out.raw\" format raw",
        folder.path().display()
    );
    let settings = format!(
        "pcm.!default {{ type plug slave {{ pcm {{ {files} }} format S16_LE rate 48000 channels 2 }} }}\n"
    );
    std::fs::write(folder.path().join("asound.conf"), settings).unwrap();
    folder
}

fn run(command: &mut Command, settings: &Path) -> (Output, String) {
    let output = command.env("ALSA_CONFIG_PATH", settings).output().unwrap();
    let said =
        String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr);
    (output, said)
}

/// Set in the process in which a test does its work.
const INSIDE: &str = "COUCHSIDE_TEST_INSIDE";

fn is_inside() -> bool {
    std::env::var_os(INSIDE).is_some()
}

/// Runs the test that calls it once more, inside a process of its own with these ALSA settings.
fn check_in_process(test: &str, settings: &Path) {
    let mut command = Command::new(std::env::current_exe().unwrap());
    let command = command.args([test, "--exact", "--nocapture"]).env(INSIDE, "1");
    let (output, said) = run(command, settings);
    assert!(output.status.success() && said.contains("1 passed"), "{said}");
}

#[test]
fn the_microphone_is_heard() {
    if is_inside() {
        return hears_the_tone();
    }
    let folder = card();
    check_in_process(
        "sound::card::the_microphone_is_heard",
        &folder.path().join("asound.conf"),
    );
}

fn hears_the_tone() {
    let mut microphone = Microphone::open(None).unwrap();
    let (mut heard, start) = (Vec::new(), Instant::now());
    while heard.len() < SAMPLE_RATE as usize && start.elapsed() < Duration::from_secs(20) {
        microphone.read(&mut heard).unwrap();
        std::thread::sleep(Duration::from_millis(10));
    }
    // The plug-in does not wait for time to pass and leaves frames out, so only the level is sure.
    println!(
        "{} samples in {:?}, level {:.3}",
        heard.len(),
        start.elapsed(),
        rms(&heard)
    );
    assert!(heard.len() >= SAMPLE_RATE as usize && (rms(&heard) - 0.354).abs() < 0.03);
}

#[test]
fn the_voice_is_played() {
    if is_inside() {
        return says_a_sentence();
    }
    let folder = card();
    check_in_process(
        "sound::card::the_voice_is_played",
        &folder.path().join("asound.conf"),
    );
    let played = std::fs::read(folder.path().join("out.raw")).unwrap();
    let frames = played.as_chunks::<4>().0;
    let left: Vec<f32> = frames
        .iter()
        .map(|[a, b, ..]| f32::from(i16::from_le_bytes([*a, *b])) / 32_768.0)
        .collect();
    // All of it reached the card, and as loud as it was made.
    let made = Voice::find(None).render(SENTENCE).unwrap();
    let (played_s, made_s) = (
        left.len() as f64 / 48_000.0,
        made.len() as f64 / f64::from(SAMPLE_RATE),
    );
    println!(
        "{made_s:.2} s made, {played_s:.2} s played, level {:.3}",
        rms(&left)
    );
    assert!(made_s > 1.0 && played_s >= made_s);
    let energy = |samples: &[f32], rate: f64| samples.iter().map(|s| f64::from(s * s)).sum::<f64>() / rate;
    let ratio = energy(&left, 48_000.0) / energy(&made, f64::from(SAMPLE_RATE));
    assert!(
        (0.9..1.2).contains(&ratio),
        "{ratio:.2} times its energy was played"
    );
}

fn says_a_sentence() {
    let mut voice = Voice::find(None);
    assert_eq!(voice.say(SENTENCE).unwrap(), Said::Aloud);
    while voice.go_on().unwrap() == Sounding::Words {
        std::thread::sleep(Duration::from_millis(20));
    }
    assert_eq!(voice.why_as_text(), None);
}

#[test]
fn devices_lists_the_card() {
    let folder = card();
    let (output, said) = run(
        Command::new(env!("CARGO_BIN_EXE_couchside")).arg("devices"),
        &folder.path().join("asound.conf"),
    );
    assert!(output.status.success(), "{said}");
    for line in [
        "Microphones\n  Default Audio Device (used unless another is chosen)",
        "Loudspeakers\n  Default",
    ] {
        assert!(said.contains(line), "{said}");
    }
}

#[test]
fn without_a_card_it_is_said_what_to_do() {
    if is_inside() {
        return says_it_as_text();
    }
    let folder = TempDir::new().unwrap();
    let settings = folder.path().join("asound.conf");
    // A default device that leads nowhere.
    std::fs::write(&settings, "pcm.!default { type hw card 31 }\n").unwrap();
    let (output, said) = run(
        Command::new(env!("CARGO_BIN_EXE_couchside")).arg("devices"),
        &settings,
    );
    assert_eq!(output.status.code(), Some(1));
    let says = "Loudspeakers\n  none: findings are said back on the screen instead\ncouchside: no microphone was \
                found; plug one in, and see that the system's sound settings show it and that it is not switched off \
                there\n";
    // Nothing else: the sound library's own messages stay away.
    assert_eq!(said, says);
    check_in_process("sound::card::without_a_card_it_is_said_what_to_do", &settings);
}

fn says_it_as_text() {
    let mut voice = Voice::find(None);
    assert_eq!(voice.say("right hip flexion").unwrap(), Said::AsText);
    let why = voice.why_as_text().unwrap();
    assert!(why.starts_with("no loudspeaker was found"), "{why}");
    let message = Microphone::open(None).err().unwrap().to_string();
    assert!(message.starts_with("no microphone was found"), "{message}");
}
