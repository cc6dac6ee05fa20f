//! Pauses: which one ends an utterance, and what is told of one before it has.

use couchside::hear::{Cut, Endpointer, Pause, SAMPLE_RATE, Settings};
use tempfile::TempDir;

use super::endpoint::{SPEECH, with_noise};
use super::made::spoken;

/// What comes of this sound if every question is answered with `pause`.
fn cuts(sound: &[f32], pause: Pause) -> Vec<Cut> {
    let mut endpointer = Endpointer::new(Settings::default());
    let mut cuts = Vec::new();
    for piece in sound.chunks(320) {
        endpointer.take(piece);
        while let Some(cut) = endpointer.go_on() {
            if cut == Cut::Asking {
                endpointer.answer(pause);
            }
            cuts.push(cut);
        }
    }
    cuts
}

/// Speech with a gap in it, and the quiet of a room after it.
fn speech_with_gap(gap_s: f64) -> Vec<f32> {
    let folder = TempDir::new().unwrap();
    let mut sound = vec![0.0; 16_000];
    for text in ["right hip flexion active", "one hundred and ten degrees"] {
        sound.extend(spoken(folder.path(), "flite", "slt", text));
        sound.resize(sound.len() + (gap_s * f64::from(SAMPLE_RATE)) as usize, 0.0);
    }
    sound.resize(sound.len() + 32_000, 0.0);
    sound
}

/// Speech with this gap is so many utterances, by how long a pause has to be.
fn check(gap_s: f64, utterances: [(Pause, usize); 3]) {
    let sound = speech_with_gap(gap_s);
    for (pause, expected) in utterances {
        let ended = cuts(&sound, pause)
            .into_iter()
            .filter(|cut| matches!(cut, Cut::Ended { .. }));
        assert_eq!(ended.count(), expected, "a gap of {gap_s} s, {pause:?}");
    }
}

#[test]
fn the_pause_that_ends_an_utterance_is_as_long_as_it_was_said_to_be() {
    let all = |short, middle, long| {
        [
            (Pause::Short, short),
            (Pause::Middle, middle),
            (Pause::Long, long),
        ]
    };
    check(0.15, all(1, 1, 1));
    check(0.25, all(1, 1, 1));
    check(0.52, all(2, 1, 1));
    check(0.75, all(2, 2, 1));
    check(1.1, all(2, 2, 2));
}

/// What is heard while a pause lasts need not be heard again when it ends the utterance.
#[test]
fn what_a_pause_tells_of_is_the_utterance_that_it_ends() {
    for sound in [SPEECH.0.clone(), with_noise(&SPEECH.0, 0.003)] {
        for pause in [Pause::Short, Pause::Middle, Pause::Long] {
            let (mut told, mut ended) = (None, 0);
            for cut in cuts(&sound, pause) {
                match cut {
                    Cut::Pausing(utterance) => told = Some(utterance),
                    Cut::Asking => {}
                    Cut::Ended { utterance, pause_s } => {
                        assert_eq!(Some(utterance), told, "{pause:?}");
                        let Settings { short_s, long_s, .. } = Settings::default();
                        assert!((short_s..long_s + 0.02).contains(&pause_s), "{pause_s}");
                        ended += 1;
                    }
                }
            }
            // Some gaps are no longer than a long pause.
            assert!(
                ended == SPEECH.1.len() || pause == Pause::Long,
                "{pause:?}: {ended}"
            );
        }
    }
}

/// Until it is said which pause ends the utterance, later sound waits, and then it makes no difference that it did.
#[test]
fn a_late_answer_changes_nothing() {
    let sound = speech_with_gap(0.75);
    let prompt = cuts(&sound, Pause::Short);
    let mut endpointer = Endpointer::new(Settings::default());
    let mut late = Vec::new();
    // All the sound is there before the first answer.
    endpointer.take(&sound);
    while let Some(cut) = endpointer.go_on() {
        if cut == Cut::Asking {
            assert_eq!(endpointer.go_on(), Some(Cut::Asking), "it waits");
            endpointer.answer(Pause::Short);
        }
        late.push(cut);
    }
    assert_eq!(late, prompt);
}

#[test]
fn halting_speech_is_told_of_so_often_and_no_more() {
    let folder = TempDir::new().unwrap();
    let word = spoken(folder.path(), "flite", "slt", "nine");
    let mut sound = vec![0.0; 16_000];
    for _ in 0..14 {
        sound.extend(&word);
        sound.resize(sound.len() + 5_600, 0.0);
    }
    let settings = Settings::default();
    let (mut told, mut most) = (0, 0);
    for cut in cuts(&sound, Pause::Long) {
        match cut {
            Cut::Pausing(_) => told += 1,
            Cut::Asking => {}
            Cut::Ended { .. } => told = 0,
        }
        most = most.max(told);
    }
    assert_eq!(most, settings.most_pauses);
}

/// An hour of silence, of a noisy room and of talk: what is kept stays a matter of seconds.
#[test]
fn an_hour_of_sound_does_not_fill_the_memory() {
    let minute = SPEECH.0.len();
    let noisy = with_noise(&SPEECH.0, 0.003);
    let silence = vec![0.0; minute];
    let talk: Vec<f32> = {
        // No pause in it at all.
        let folder = TempDir::new().unwrap();
        let text = "and then it began to hurt when I went up the stairs so that I had to stop ".repeat(4);
        let one = spoken(folder.path(), "espeak-ng", "en-gb", &text);
        one.iter().copied().cycle().take(minute).collect()
    };
    let mut endpointer = Endpointer::new(Settings::default());
    let (mut most, mut ended) = (0.0_f64, 0);
    for turn in 0..60 {
        let sound = [&silence, &noisy, &talk, &SPEECH.0][turn % 4];
        for piece in sound.chunks(320) {
            endpointer.take(piece);
            while let Some(cut) = endpointer.go_on() {
                match cut {
                    Cut::Asking => endpointer.answer(Pause::Long),
                    Cut::Ended { .. } => ended += 1,
                    Cut::Pausing(_) => {}
                }
            }
            most = most.max(endpointer.kept_s());
        }
    }
    assert!(ended > 15 * 2 * SPEECH.1.len(), "{ended} utterances");
    let longest_s = Settings::default().longest_s;
    assert!(most < 2.0 * longest_s + 2.0, "{most} s of sound were kept");
}
