//! The listener on real speech with the real model: which pause ends an utterance, and that nothing else matters to it.
//!
//! "Flexion" is spelt as the synthesiser says it rightly.

use couchside::error::Result;
use couchside::finding::{Control, Kind, Outcome};
use couchside::hear::model::path_of;
use couchside::hear::{Heard, Recogniser, SAMPLE_RATE, read_wav};
use couchside::interpret::Interpreter;
use couchside::pipeline::{Listener, Scribe};
use couchside::readback::{Tone, count};
use tempfile::TempDir;

use super::grammar;
use crate::sound::made::{noise, spoken};

/// 20 ms.
const PIECE: usize = SAMPLE_RATE as usize / 50;

/// When, the free transcript, and the sentences with their scores.
type Plain<'a> = (f64, f64, &'a str, Vec<(&'a str, f32)>);

/// Keeps what was heard and what it meant.
struct Kept {
    interpreter: Interpreter,
    heard: Vec<Heard>,
    outcomes: Vec<Outcome>,
    standing_by: bool,
}

impl Kept {
    fn new() -> Kept {
        Kept {
            interpreter: Interpreter::new(grammar()),
            heard: Vec::new(),
            outcomes: Vec::new(),
            standing_by: false,
        }
    }

    /// What must be the same for the same sound.
    fn all(&self) -> Vec<Plain<'_>> {
        self.heard
            .iter()
            .map(|heard| {
                let sentences = heard.sentences.iter();
                (
                    heard.start_s,
                    heard.end_s,
                    heard.free.text.as_str(),
                    sentences.map(|one| (one.text.as_str(), one.score)).collect(),
                )
            })
            .collect()
    }
}

impl Scribe for Kept {
    fn interpreter(&self) -> &Interpreter {
        &self.interpreter
    }

    fn take(&mut self, heard: &Heard) -> Result<()> {
        let understood = self.interpreter.choose(heard);
        self.interpreter.follow(&understood.reading);
        if let Outcome::Control { control, .. } = &understood.reading.outcome {
            self.standing_by =
                *control == Control::StandBy || (self.standing_by && *control != Control::Resume);
        }
        self.outcomes.push(understood.reading.outcome);
        self.heard.push(heard.clone());
        Ok(())
    }

    fn is_standing_by(&self) -> bool {
        self.standing_by
    }
}

fn recogniser() -> Recogniser {
    let model = path_of(Some("tiny.en")).expect("the model is fetched by `make model`");
    Recogniser::load(&model, grammar()).expect("the model loads")
}

/// Speech in the quiet of a room, with so many seconds of quiet after each part.
fn speech(parts: &[(&str, f64)]) -> Vec<f32> {
    let folder = TempDir::new().expect("a folder");
    let mut sound = vec![0.0; SAMPLE_RATE as usize];
    for (text, gap_s) in parts {
        sound.extend(spoken(folder.path(), "flite", "slt", text));
        sound.resize(sound.len() + (gap_s * f64::from(SAMPLE_RATE)) as usize, 0.0);
    }
    let room = noise(sound.len(), 0.0003);
    sound
        .iter()
        .zip(room)
        .map(|(sample, room)| sample + room)
        .collect()
}

/// Such speech is so many utterances.
fn check(parts: &[(&str, f64)], utterances: usize) -> Vec<Outcome> {
    let mut kept = Kept::new();
    Listener::new(recogniser())
        .recording(&speech(parts), &mut kept)
        .expect("it is heard");
    assert_eq!(
        kept.heard.len(),
        utterances,
        "{parts:?} was heard as {:?}",
        kept.all()
    );
    kept.outcomes
}

/// The program does not listen while a tone sounds; played into the microphone after all, as loud as can be, none is more
/// than talk.
#[test]
fn a_tone_is_no_dictation() {
    let quiet = || noise(SAMPLE_RATE as usize, 0.0003);
    let mut sound = quiet();
    for tone in Tone::ALL {
        sound.extend(tone.sound(0.0));
        sound.extend(quiet());
    }
    sound.extend(count(3, 0.0));
    sound.extend(quiet());
    for model in ["tiny.en", "tiny.en-joints"] {
        let model = path_of(Some(model)).expect("it is fetched by `make model`");
        let recogniser = Recogniser::load(&model, grammar()).expect("the model loads");
        let mut kept = Kept::new();
        Listener::new(recogniser)
            .recording(&sound, &mut kept)
            .expect("it is heard");
        let talk = |outcome: &Outcome| *outcome == Outcome::Aside;
        assert!(
            kept.outcomes.iter().all(talk),
            "{:?}: {:?}",
            kept.outcomes,
            kept.all()
        );
    }
}

#[test]
fn what_is_complete_is_closed_soon() {
    let said = "right knee flection active one hundred and ten degrees";
    let outcomes = check(&[(said, 0.45), ("confirm", 1.5)], 2);
    assert!(matches!(
        outcomes[1],
        Outcome::Control {
            control: Control::Confirm,
            ..
        }
    ));
}

#[test]
fn what_is_not_is_waited_for() {
    check(
        &[("left hip abduction passive", 0.75), ("forty two degrees", 1.5)],
        1,
    );
    check(
        &[("left hip", 0.75), ("abduction passive forty two degrees", 1.5)],
        1,
    );
}

#[test]
fn a_number_whose_words_can_go_on_is_waited_for() {
    check(
        &[
            ("left knee flection passive one hundred and twenty", 0.45),
            ("five degrees", 1.5),
        ],
        1,
    );
}

#[test]
fn speech_that_goes_on_within_the_pause_is_one_utterance() {
    let said = "right knee flection active one hundred and ten degrees";
    check(&[(said, 0.22), ("firm end feel", 1.5)], 1);
}

#[test]
fn a_control_word_that_begins_a_sentence_does_not_act() {
    let outcomes = check(
        &[("confirm", 0.45), ("that you feel the stretch at the back", 1.5)],
        1,
    );
    assert!(!matches!(outcomes[0], Outcome::Control { .. }), "{outcomes:?}");
}

#[test]
fn a_note_goes_on_over_its_pauses_and_is_kept_as_it_was_said() {
    let said = [
        ("make a note, she cannot kneel on the left knee", 0.75),
        ("for more than a minute", 1.5),
    ];
    let outcomes = check(&said, 1);
    let [Outcome::Finding { findings }] = outcomes.as_slice() else {
        panic!("{outcomes:?}");
    };
    assert_eq!(findings[0].kind, Kind::Note);
    let text = findings[0].text.as_deref().unwrap_or_default().to_lowercase();
    assert!(
        text.starts_with("she cannot kneel") && text.contains("more than a minute"),
        "{text}"
    );
}

#[test]
fn the_same_sound_is_heard_the_same_however_it_comes_in() {
    let mut sound = Vec::new();
    for name in [
        "left-the-same",
        "confirm",
        "right-hip-three-movements-in-a-breath",
        "say-again",
        "cold-hands",
    ] {
        let path = format!("{}/audio-samples/{name}/speech.wav", env!("CARGO_MANIFEST_DIR"));
        sound.extend(read_wav(path.as_ref()).expect("a sample"));
        sound.resize(sound.len() + 9_000, 0.0);
    }
    let mut expected = Kept::new();
    let mut listener = Listener::new(recogniser());
    listener.recording(&sound, &mut expected).expect("it is heard");
    assert!(expected.heard.len() >= 5);
    for piece in [sound.len(), 77_777, 101] {
        let mut kept = Kept::new();
        listener.restart();
        for piece in sound.chunks(piece) {
            listener.push(piece);
            listener.hand_over(&mut kept).expect("it is heard");
        }
        listener.finish();
        listener.hand_over(&mut kept).expect("it is heard");
        assert_eq!(kept.all(), expected.all(), "in pieces of {piece}");
    }
    // On another thread, with all the sound there long before anything is heard in it.
    let mut kept = Kept::new();
    let mut listener = Listener::live(recogniser());
    for piece in sound.chunks(PIECE) {
        listener.push(piece);
        listener.hand_over(&mut kept).expect("it is heard");
    }
    listener.finish();
    listener.hand_over(&mut kept).expect("it is heard");
    assert_eq!(kept.all(), expected.all(), "on another thread");
}

/// What cannot be the word that ends standing by is not even decoded.
#[test]
fn while_standing_by_nothing_is_heard_but_what_may_end_it() {
    let finding = "right knee flection active one hundred and ten degrees";
    let talk = "are you comfortable like that or shall I fetch a pillow";
    let parts = [
        ("stand by", 1.5),
        (finding, 1.5),
        (talk, 1.5),
        ("resume", 1.5),
        (finding, 1.5),
    ];
    let model = path_of(Some("tiny.en-joints")).expect("the model is made by `make model`");
    for live in [false, true] {
        let recogniser = Recogniser::load(&model, grammar()).expect("the model loads");
        let mut kept = Kept::new();
        let mut listener = match live {
            true => Listener::live(recogniser),
            false => Listener::new(recogniser),
        };
        for piece in speech(&parts).chunks(PIECE) {
            listener.push(piece);
            listener.hand_over(&mut kept).expect("it is heard");
            if live {
                // Beside is as fast as this machine: nothing may be missed by being late.
                std::thread::sleep(std::time::Duration::from_millis(5));
            }
        }
        listener.finish();
        listener.hand_over(&mut kept).expect("it is heard");
        assert_eq!(kept.heard.len(), 3, "{:?}", kept.all());
        assert!(matches!(
            kept.outcomes[1],
            Outcome::Control {
                control: Control::Resume,
                ..
            }
        ));
        assert!(matches!(kept.outcomes[2], Outcome::Finding { .. }));
    }
}
