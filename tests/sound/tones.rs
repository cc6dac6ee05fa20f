//! Tones: each is known from the others without an ear for pitch, and none clicks.

use couchside::hear::SAMPLE_RATE;
use couchside::readback::{Tone, count};

/// The course of a tone: for each note whether it is short or long, and whether it goes up, down or stays.
fn course(tone: Tone) -> Vec<(bool, i32)> {
    let notes = tone.notes();
    let before = std::iter::once(notes[0].0).chain(notes.iter().map(|note| note.0));
    let step = |before: f32, hertz: f32| (hertz > before) as i32 - (hertz < before) as i32;
    notes
        .iter()
        .zip(before)
        .map(|(note, before)| (note.1 >= 100, step(before, note.0)))
        .collect()
}

#[test]
fn no_two_tones_have_the_same_course() {
    for (at, one) in Tone::ALL.iter().enumerate() {
        for other in &Tone::ALL[at + 1..] {
            assert_ne!(course(*one), course(*other), "{one:?} and {other:?}");
        }
    }
}

#[test]
fn tones_are_as_loud_as_asked_and_do_not_click() {
    for tone in Tone::ALL {
        for level_db in [-40.0_f32, -18.0, 0.0] {
            let sound = tone.sound(level_db);
            let loudest = sound.iter().fold(0.0_f32, |most, sample| most.max(sample.abs()));
            let limit = 10_f32.powf(level_db / 20.0);
            assert!(
                loudest <= limit && loudest > 0.6 * limit,
                "{tone:?} at {level_db} dB: {loudest}"
            );
            // The steepest that a sine of the highest note and its octave is, at that loudness.
            let steepest = std::f32::consts::TAU * 2.0 * 1047.0 / SAMPLE_RATE as f32 * limit;
            let step = sound
                .windows(2)
                .map(|pair| (pair[1] - pair[0]).abs())
                .fold(0.0, f32::max);
            assert!(step <= steepest, "{tone:?} at {level_db} dB clicks");
            assert!(
                sound[0].abs() < 1e-6 && sound.last().unwrap().abs() < 0.01 * limit,
                "{tone:?}"
            );
        }
    }
}

#[test]
fn the_count_has_a_note_for_each_second() {
    for seconds in [1, 3, 10] {
        let sound = count(seconds, -18.0);
        assert_eq!(sound.len(), (seconds * SAMPLE_RATE + SAMPLE_RATE / 5) as usize);
        for second in 0..=seconds {
            let at = (second * SAMPLE_RATE) as usize;
            let note = &sound[at..at + 1000];
            assert!(
                note.iter().any(|sample| sample.abs() > 0.05),
                "{seconds} s: none at {second}"
            );
        }
    }
}
