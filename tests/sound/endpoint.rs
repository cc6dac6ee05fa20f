//! Cutting sound into utterances: on synthetic speech whose edges are known, and on sound that is no speech.

use std::sync::LazyLock;

use couchside::hear::{Endpointer, SAMPLE_RATE, Settings, Utterance};
use proptest::prelude::*;
use tempfile::TempDir;

use super::made::{noise, rms, spoken, tone};

const RATE: f64 = SAMPLE_RATE as f64;
/// What a microphone delivers at a time: 15 ms.
const PERIOD: usize = 240;

/// The program that speaks, its voice, and what it says.
const SPOKEN: [(&str, &str, &str); 15] = [
    (
        "espeak-ng",
        "en-gb",
        "right hip, active flexion one hundred and ten",
    ),
    ("flite", "slt", "passive one twenty, firm end feel"),
    ("espeak-ng", "en-us", "confirm"),
    ("flite", "kal", "left knee extension minus five"),
    ("espeak-ng", "en-gb-scotland", "painful arc sixty to one twenty"),
    ("flite", "slt", "Trendelenburg positive"),
    ("espeak-ng", "en-gb+f3", "four plus"),
    ("flite", "kal16", "resisted abduction strong and painless"),
    ("espeak-ng", "en-gb", "say again"),
    ("flite", "slt", "hip hitching"),
    ("espeak-ng", "en-us+m3", "shoulder external rotation forty five"),
    ("flite", "slt", "stand by"),
    ("espeak-ng", "en-gb+f2", "six out of ten at end range"),
    ("flite", "kal", "correction left"),
    ("espeak-ng", "en-gb", "flexion"),
];
/// Seconds of quiet before each, taken in turn.
const GAPS: [f64; 5] = [1.4, 0.9, 2.6, 1.1, 4.0];

/// Sound, and where each spoken part of it begins and ends, in seconds.
pub(super) type Spoken = (Vec<f32>, Vec<(f64, f64)>);

/// 60 s of speech.
pub(super) static SPEECH: LazyLock<Spoken> = LazyLock::new(|| {
    let folder = TempDir::new().unwrap();
    let (mut sound, mut edges) = (Vec::new(), Vec::new());
    for (i, (program, voice, text)) in SPOKEN.iter().enumerate() {
        let speech = spoken(folder.path(), program, voice, text);
        sound.resize(sound.len() + (GAPS[i % GAPS.len()] * RATE) as usize, 0.0);
        edges.push((
            sound.len() as f64 / RATE,
            (sound.len() + speech.len()) as f64 / RATE,
        ));
        sound.extend(speech);
    }
    assert!(sound.len() < 60 * SAMPLE_RATE as usize);
    sound.resize(60 * SAMPLE_RATE as usize, 0.0);
    (sound, edges)
});

pub(super) fn with_noise(sound: &[f32], level: f32) -> Vec<f32> {
    sound
        .iter()
        .zip(noise(sound.len(), level))
        .map(|(sample, noise)| sample + noise)
        .collect()
}

fn cut(settings: Settings, sound: &[f32]) -> Vec<Utterance> {
    let mut endpointer = Endpointer::new(settings);
    let mut utterances: Vec<Utterance> = sound
        .chunks(PERIOD)
        .flat_map(|period| endpointer.push(period))
        .collect();
    utterances.extend(endpointer.finish());
    utterances
}

/// Each spoken part is one utterance, wholly in its samples, its edges within `tolerance_ms`. Prints the errors.
fn check_edges(name: &str, sound: &[f32], tolerance_ms: f64) {
    let utterances = cut(Settings::default(), sound);
    let edges = &SPEECH.1;
    for utterance in &utterances {
        println!("  heard {:.3} to {:.3}", utterance.start_s, utterance.end_s);
    }
    assert_eq!(utterances.len(), edges.len(), "{name}: {edges:.3?}");
    let (mut onsets, mut offsets) = (Vec::new(), Vec::new());
    for (utterance, &(start_s, end_s)) in utterances.iter().zip(edges) {
        onsets.push((utterance.start_s - start_s) * 1000.0);
        offsets.push((utterance.end_s - end_s) * 1000.0);
        let from_s = utterance.start_s - 0.3;
        let to_s = from_s + utterance.samples.len() as f64 / RATE;
        assert!(
            from_s <= start_s && to_s >= end_s,
            "{name}: {start_s:.3} to {end_s:.3} is clipped"
        );
        let from = (from_s * RATE).round() as usize;
        assert_eq!(utterance.samples, sound[from..from + utterance.samples.len()]);
    }
    for (what, errors) in [("onset", onsets), ("offset", offsets)] {
        let mean = errors.iter().sum::<f64>() / errors.len() as f64;
        let spread = (errors.iter().map(|e| (e - mean).powi(2)).sum::<f64>() / errors.len() as f64).sqrt();
        let (least, most) = errors
            .iter()
            .fold((f64::MAX, f64::MIN), |(a, b), &e| (a.min(e), b.max(e)));
        println!("{name}: {what} {mean:+.0} ms ± {spread:.0}, from {least:+.0} to {most:+.0} ms");
        assert!(
            least.abs().max(most.abs()) <= tolerance_ms,
            "{name}: {what} {least:.0} to {most:.0} ms"
        );
    }
}

#[test]
fn edges_of_clean_speech() {
    check_edges("clean", &SPEECH.0, 30.0);
}

#[test]
fn edges_of_speech_in_room_noise() {
    check_edges("noise 30 dB below", &with_noise(&SPEECH.0, 0.00316), 170.0);
}

#[test]
fn edges_of_speech_in_loud_noise() {
    check_edges("noise 10 dB below", &with_noise(&SPEECH.0, 0.0316), 200.0);
}

/// Other people talk all the time, 10 dB under those who dictate (on the mean: some voices are softer): nothing that was dictated
/// is clipped, and where it ends is noticed nearly always.
#[test]
fn dictation_ends_where_other_people_talk_on() {
    let (sound, edges) = &*SPEECH;
    let spoken: Vec<f32> = edges
        .iter()
        .flat_map(|&(from, to)| sound[(from * RATE) as usize..(to * RATE) as usize].to_vec())
        .collect();
    // Eight of them, each somewhere else in the same words.
    let babble = |at: usize| {
        let voices = (1..=8).map(|talker| spoken[(at + talker * spoken.len() / 9) % spoken.len()]);
        voices.sum::<f32>()
    };
    let babble: Vec<f32> = (0..sound.len()).map(babble).collect();
    let under = rms(&spoken) / rms(&babble) * 10_f32.powf(-10.0 / 20.0);
    let mixed: Vec<f32> = sound.iter().zip(&babble).map(|(a, b)| a + b * under).collect();
    let utterances = cut(Settings::default(), &mixed);
    let mut noticed = 0;
    for &(start_s, end_s) in edges {
        let holds = |one: &&Utterance| one.start_s < end_s && one.end_s > start_s;
        let parts: Vec<_> = utterances.iter().filter(holds).collect();
        let last = parts
            .last()
            .unwrap_or_else(|| panic!("{start_s:.2} to {end_s:.2} is lost"));
        let to_s = last.start_s - 0.3 + last.samples.len() as f64 / RATE;
        assert!(
            to_s >= end_s - 0.05,
            "{start_s:.2} to {end_s:.2} is clipped at {to_s:.2}"
        );
        noticed += usize::from(parts.len() == 1 && last.end_s < end_s + 0.5);
    }
    assert!(noticed >= 13, "{noticed} of {} ends were noticed", edges.len());
}

#[test]
fn edges_of_quiet_speech() {
    let quiet: Vec<f32> = SPEECH.0.iter().map(|sample| sample * 0.03).collect();
    check_edges("30 dB quieter", &quiet, 170.0);
}

#[test]
fn what_is_no_speech_is_no_utterance() {
    let twenty_seconds = 20 * SAMPLE_RATE as usize;
    let mut sounds = vec![
        ("silence".into(), vec![0.0; twenty_seconds]),
        ("offset".into(), vec![0.1; twenty_seconds]),
    ];
    for level in [0.00002, 0.0003, 0.003, 0.03, 0.2] {
        sounds.push((format!("white noise at {level}"), noise(twenty_seconds, level)));
    }
    for hertz in [50.0, 60.0, 100.0, 120.0, 1000.0] {
        for level in [0.001, 0.03, 0.3] {
            let hum =
                [1.0, 0.5, 0.3, 0.2]
                    .iter()
                    .enumerate()
                    .fold(vec![0.0; twenty_seconds], |sum, (i, part)| {
                        let partial = tone(SAMPLE_RATE, 20.0, hertz * (i + 1) as f64, level * part);
                        sum.iter().zip(partial).map(|(a, b): (&f32, f32)| a + b).collect()
                    });
            sounds.push((format!("{hertz} Hz hum at {level}"), with_noise(&hum, 0.0005)));
        }
    }
    let mut knocks = noise(twenty_seconds, 0.001);
    for at in (8_000..twenty_seconds - 800).step_by(24_000) {
        for (i, sample) in knocks[at..at + 800].iter_mut().enumerate() {
            *sample += 0.5 * (-(i as f32) / 100.0).exp() * (i as f32 * 0.35).sin();
        }
    }
    sounds.push(("knocks on the couch".into(), knocks));
    let heard: Vec<_> = sounds
        .iter()
        .map(|(name, sound)| (name, cut(Settings::default(), sound).len()))
        .filter(|(_, utterances)| *utterances > 0)
        .collect();
    assert!(heard.is_empty(), "{heard:?}");
}

#[test]
fn a_long_speech_is_cut_and_nothing_is_lost() {
    let folder = TempDir::new().unwrap();
    let text = "and then you bend the knee as far as it will go and you tell me when it hurts ".repeat(10);
    let mut sound = vec![0.0; 16_000];
    sound.extend(spoken(folder.path(), "espeak-ng", "en-gb", &text));
    sound.resize(sound.len() + 32_000, 0.0);
    let utterances = cut(
        Settings {
            longest_s: 6.0,
            ..Settings::default()
        },
        &sound,
    );
    assert!(utterances.len() > 4, "{} utterances", utterances.len());
    let mut at = ((utterances[0].start_s - 0.3) * RATE).round() as usize;
    for utterance in &utterances {
        assert!(utterance.samples.len() <= 6 * SAMPLE_RATE as usize);
        assert!(utterance.start_s <= utterance.end_s);
        assert_eq!(
            utterance.samples,
            sound[at..at + utterance.samples.len()],
            "goes on where the last one ended"
        );
        at += utterance.samples.len();
    }
    assert!(at >= sound.len() - 32_000, "the end is in it");
}

#[test]
fn sound_that_ends_while_somebody_speaks() {
    let (sound, edges) = &*SPEECH;
    let middle_s = (edges[0].0 + edges[0].1) / 2.0;
    let utterances = cut(Settings::default(), &sound[..(middle_s * RATE) as usize]);
    assert_eq!(utterances.len(), 1);
    assert!(
        (utterances[0].end_s - middle_s).abs() < 0.1,
        "{}",
        utterances[0].end_s
    );
}

#[test]
fn a_recording_cut_tightly_around_one_word() {
    let folder = TempDir::new().unwrap();
    for (program, voice, text) in [
        ("espeak-ng", "en-gb", "five"),
        ("flite", "slt", "confirm"),
        ("flite", "kal", "left"),
    ] {
        let sound = spoken(folder.path(), program, voice, text);
        for sound in [sound.clone(), with_noise(&sound, 0.01)] {
            let utterances = cut(Settings::default(), &sound);
            assert_eq!(utterances.len(), 1, "{text}");
            assert!(
                utterances[0].samples.len() + 1600 > sound.len(),
                "{text} is clipped"
            );
        }
    }
}

#[test]
fn the_clock_goes_on_after_finish() {
    let (sound, edges) = &*SPEECH;
    let mut endpointer = Endpointer::new(Settings::default());
    // An odd number of samples, in the gap after the first utterance.
    let (first, second) = sound.split_at((edges[0].1 * RATE) as usize + 3_333);
    let early: Vec<_> = endpointer
        .push(first)
        .into_iter()
        .chain(endpointer.finish())
        .collect();
    let late = endpointer.push(second);
    assert_eq!(early.len() + late.len(), edges.len());
    assert!(
        (late[0].start_s - edges[1].0).abs() < 0.15,
        "{} instead of {}",
        late[0].start_s,
        edges[1].0
    );
}

#[test]
fn sound_that_is_no_number_does_no_lasting_harm() {
    let (sound, edges) = &*SPEECH;
    let mut sound = sound.clone();
    sound[100] = f32::NAN;
    sound[101] = f32::INFINITY;
    assert_eq!(cut(Settings::default(), &sound).len(), edges.len());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn cutting_into_calls_makes_no_difference(
        periods in prop::collection::vec(prop_oneof![0_usize..700, 1_usize..60_000], 1..40),
        pause_s in 0.2..0.8,
        longest_s in 1.0..12.0,
    ) {
        let settings = Settings { longest_s, ..Settings::fixed(pause_s) };
        let sound = &SPEECH.0[..20 * SAMPLE_RATE as usize];
        let mut endpointer = Endpointer::new(settings.clone());
        let (mut utterances, mut rest, mut turn) = (Vec::new(), sound, 0);
        while !rest.is_empty() {
            // At least one sample at a time, or it would not end.
            let (now, later) = rest.split_at(periods[turn % periods.len()].clamp(1, rest.len()));
            utterances.extend(endpointer.push(now));
            (rest, turn) = (later, turn + 1);
        }
        utterances.extend(endpointer.finish());
        prop_assert!(!utterances.is_empty());
        prop_assert!(utterances == cut(settings, sound));
    }
}
