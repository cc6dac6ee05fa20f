//! A microphone that hears almost nothing, or too much, is told of once, and again after somebody was heard well.

use couchside::hear::{Level, LevelFault, SAMPLE_RATE};

use super::made::{noise, tone};

/// The faults that are told of in sound that comes in pieces of 20 ms.
fn faults(level: &mut Level, sound: &[f32]) -> Vec<LevelFault> {
    let pieces = sound.chunks(SAMPLE_RATE as usize / 50);
    pieces.filter_map(|piece| level.take(piece)).collect()
}

fn seconds(seconds: f64) -> usize {
    (seconds * f64::from(SAMPLE_RATE)) as usize
}

#[test]
fn almost_nothing_is_told_once() {
    for quiet in [vec![0.0; seconds(40.0)], noise(seconds(40.0), 0.001)] {
        let mut level = Level::default();
        assert_eq!(faults(&mut level, &quiet[..seconds(14.0)]), []);
        assert_eq!(faults(&mut level, &quiet), [LevelFault::Faint]);
        level.was_right();
        assert_eq!(faults(&mut level, &quiet[..seconds(20.0)]), [LevelFault::Faint]);
    }
}

#[test]
fn a_word_now_and_then_is_not_nothing() {
    let mut level = Level::default();
    for _ in 0..6 {
        let mut sound = noise(seconds(12.0), 0.001);
        sound.extend(tone(SAMPLE_RATE, 0.5, 200.0, 0.05));
        assert_eq!(faults(&mut level, &sound), []);
    }
}

#[test]
fn sound_that_is_cut_off_is_told_once_and_a_knock_is_not() {
    let loud = |length: f64| -> Vec<f32> {
        let sound = tone(SAMPLE_RATE, length, 200.0, 3.0);
        sound.iter().map(|sample| sample.clamp(-1.0, 1.0)).collect()
    };
    let mut level = Level::default();
    assert_eq!(faults(&mut level, &loud(0.1)), []);
    assert_eq!(faults(&mut level, &loud(3.0)), [LevelFault::CutOff]);
    assert_eq!(faults(&mut level, &tone(SAMPLE_RATE, 20.0, 200.0, 0.5)), []);
}
