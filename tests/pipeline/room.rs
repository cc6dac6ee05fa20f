//! A room made of numbers: the loudspeaker's sound comes back into the microphone, late and with its echo, and a therapist
//! speaks when it is silent, or over it. What listens and answers is what users run.

use std::cell::RefCell;
use std::collections::VecDeque;
use std::path::Path;
use std::rc::Rc;
use std::sync::atomic::AtomicBool;

use couchside::error::Result;
use couchside::hear::model::path_of;
use couchside::hear::{Recogniser, SAMPLE_RATE, SoundError};
use couchside::pipeline::{Key, Listener, Session, Shown, Source, follow};
use couchside::readback::{Mouth, Said, Sounding, Voice, VoiceError};
use couchside::settings::Settings;

use super::{grammar, lines, visit};
use crate::sound::made::{noise, spoken};

/// 20 ms.
const PIECE: usize = SAMPLE_RATE as usize / 50;
/// From the loudspeaker to the microphone: the buffers of both and a metre of air.
const DELAY: usize = SAMPLE_RATE as usize / 10;

/// What happens next in the room.
#[derive(Clone, Copy)]
enum Next<'a> {
    /// The therapist speaks when it has been silent for two seconds.
    Says(&'a str),
    /// The therapist speaks when the program has spoken for so many seconds.
    SaysOver(f64, &'a str),
    /// The microphone is unplugged when it has been silent for so many seconds, and is back when it is looked for.
    Unplugged(f64),
}

/// When something happens, and what the therapist says then; nothing: the microphone is unplugged.
pub(super) struct Turn {
    pub clip: Vec<f32>,
    pub when: When,
}

#[derive(Clone, Copy)]
pub(super) enum When {
    Silent(f64),
    Spoken(f64),
}

#[derive(Default)]
pub(super) struct Air {
    /// What the loudspeaker sounded so far, from the beginning.
    pub played: Vec<f32>,
    /// What it still has to sound, in clips, and whether they are words.
    to_play: VecDeque<(Vec<f32>, bool)>,
    /// What the therapist still has to say.
    speech: VecDeque<f32>,
    pub next: VecDeque<Turn>,
    /// What somebody says when nothing has happened for so long that they no longer wait; nobody: it ends.
    pub at_a_loss: Option<Box<dyn FnMut() -> Option<Turn>>>,
    silent: usize,
    words_for: usize,
    /// Samples from the moment when the therapist began to speak over the program to its silence.
    hushed_after: Option<usize>,
    spoken_over: Option<usize>,
}

impl Air {
    /// 20 ms go by; what the microphone hears of them.
    fn go_on(&mut self, gain: f32, room: &[f32]) -> Vec<f32> {
        let from = self.played.len();
        let mut piece = vec![0.0; PIECE];
        let words = match self.to_play.front_mut() {
            Some((clip, words)) => {
                let sounded = clip.len().min(PIECE);
                piece[..sounded].copy_from_slice(&clip[..sounded]);
                clip.drain(..sounded);
                *words
            }
            None => false,
        };
        if self.to_play.front().is_some_and(|(clip, _)| clip.is_empty()) {
            self.to_play.pop_front();
        }
        self.words_for = if words { self.words_for + PIECE } else { 0 };
        let quiet = self.to_play.is_empty() && self.speech.is_empty();
        self.silent = if quiet { self.silent + PIECE } else { 0 };
        self.played.extend(piece);
        self.begin_to_speak();
        (from..from + PIECE)
            .map(|at| {
                self.echo(at) * gain + self.speech.pop_front().unwrap_or_default() + room[at % room.len()]
            })
            .map(|sample: f32| sample.clamp(-1.0, 1.0))
            .collect()
    }

    fn begin_to_speak(&mut self) {
        if !self.is_to_be_unplugged() && self.is_due() {
            let turn = self.next.pop_front().expect("it is due");
            self.spoken_over = matches!(turn.when, When::Spoken(_)).then_some(self.played.len());
            self.speech = turn.clip.into();
            self.silent = 0;
        }
    }

    fn is_due(&self) -> bool {
        let lasts = |samples: usize, seconds: f64| samples as f64 >= seconds * f64::from(SAMPLE_RATE);
        self.speech.is_empty()
            && self.next.front().is_some_and(|turn| match turn.when {
                When::Silent(seconds) => lasts(self.silent, seconds),
                When::Spoken(seconds) => lasts(self.words_for, seconds),
            })
    }

    fn is_to_be_unplugged(&self) -> bool {
        self.next.front().is_some_and(|turn| turn.clip.is_empty())
    }

    /// The loudspeaker's sound as it is at the microphone: direct, and off four walls.
    fn echo(&self, at: usize) -> f32 {
        [(0, 1.0), (211, 0.5), (487, -0.4), (1103, 0.3), (2501, -0.15)]
            .iter()
            .filter_map(|(later, part)| Some(self.played.get(at.checked_sub(DELAY + later)?)? * part))
            .sum()
    }
}

/// The room's microphone.
struct Desk {
    air: Rc<RefCell<Air>>,
    gain: f32,
    room: Vec<f32>,
    /// The silence after which it is unplugged, once.
    unplugged: bool,
}

impl Source for Desk {
    fn read(&mut self, out: &mut Vec<f32>) -> std::result::Result<Option<usize>, SoundError> {
        let mut air = self.air.borrow_mut();
        if air.next.is_empty() && air.silent > 4 * SAMPLE_RATE as usize {
            let mut at_a_loss = air.at_a_loss.take();
            let turn = at_a_loss.as_mut().and_then(|says| says());
            air.at_a_loss = at_a_loss;
            match turn {
                Some(turn) => air.next.push_back(turn),
                None => return Ok(None),
            }
        }
        if air.is_to_be_unplugged() && air.is_due() {
            air.next.pop_front();
            self.unplugged = true;
        }
        if self.unplugged {
            return Err(SoundError::Unplugged {
                what: "microphone",
                name: "desk".into(),
            });
        }
        out.extend(air.go_on(self.gain, &self.room));
        Ok(Some(PIECE))
    }

    fn hears_the_room(&self) -> bool {
        true
    }

    fn dropped(&self) -> u64 {
        0
    }

    fn reopen(&mut self) -> std::result::Result<(), SoundError> {
        self.unplugged = false;
        Ok(())
    }
}

/// The room's loudspeaker.
struct Speaker {
    air: Rc<RefCell<Air>>,
    voice: Voice,
    /// Whether what it sounds is known to whoever listens.
    known: bool,
    rest: VecDeque<f32>,
}

impl Speaker {
    fn begin(&mut self, samples: Vec<f32>, words: bool) -> Said {
        self.rest.extend(&samples);
        self.air.borrow_mut().to_play.push_back((samples, words));
        Said::Aloud
    }
}

impl Mouth for Speaker {
    fn say(&mut self, text: &str) -> std::result::Result<Said, VoiceError> {
        let speech = self.voice.render(text)?;
        Ok(self.begin(speech, true))
    }

    fn sound(&mut self, samples: &[f32]) -> std::result::Result<Said, VoiceError> {
        Ok(self.begin(samples.to_vec(), false))
    }

    fn go_on(&mut self) -> std::result::Result<Sounding, VoiceError> {
        Ok(match self.air.borrow().to_play.front() {
            None => Sounding::Nothing,
            Some((_, true)) => Sounding::Words,
            Some((_, false)) => Sounding::Tones,
        })
    }

    fn sounded(&mut self, count: usize, out: &mut Vec<f32>) {
        for _ in 0..count {
            let sample = self.rest.pop_front().unwrap_or_default();
            out.push(if self.known { sample } else { 0.0 });
        }
    }

    fn hush(&mut self) {
        let mut air = self.air.borrow_mut();
        let at = air.played.len();
        air.hushed_after = air.spoken_over.map(|from| at - from);
        air.to_play.retain(|(_, words)| !words);
        self.rest.clear();
    }

    fn why_as_text(&self) -> Option<&str> {
        None
    }
}

/// How the loudspeaker is heard.
#[derive(Clone, Copy)]
pub(super) struct Echo {
    gain: f32,
    known: bool,
}

/// As loud as the therapist.
pub(super) const ECHO: Echo = Echo {
    gain: 1.0,
    known: true,
};

/// Listens in the room to its end.
pub(super) fn listen(
    home: &Path,
    air: &Rc<RefCell<Air>>,
    echo: Echo,
    show: impl FnMut(Shown<'_>) -> Result<()>,
) {
    let speaker = Speaker {
        air: air.clone(),
        voice: Voice::find(None),
        known: echo.known,
        rest: VecDeque::new(),
    };
    let mut desk = Desk {
        air: air.clone(),
        gain: echo.gain,
        room: noise(SAMPLE_RATE as usize, 0.0003),
        unplugged: false,
    };
    let mut session = Session::new(visit(home), Some(Box::new(speaker)), Settings::default(), show);
    let model = path_of(Some("tiny.en-joints")).expect("the model is made by `make model`");
    let recogniser = Recogniser::load(&model, grammar()).expect("the model loads");
    follow(
        &mut Listener::new(recogniser),
        &mut desk,
        &AtomicBool::new(false),
        &mut session,
        &mut Key::none(),
    )
    .expect("it is heard");
    session.end().expect("everything was written");
}

/// The events of what happens, and seconds from the moment when the therapist spoke over the program to its silence.
fn live(home: &Path, happens: &[Next<'_>], echo: Echo) -> (Vec<String>, Option<f64>) {
    let folder = tempfile::tempdir().expect("a folder");
    let speech = |text: &str| spoken(folder.path(), "flite", "slt", text);
    let next = happens.iter().map(|next| match next {
        Next::Says(text) => (speech(text), When::Silent(2.0)),
        Next::SaysOver(seconds, text) => (speech(text), When::Spoken(*seconds)),
        Next::Unplugged(seconds) => (Vec::new(), When::Silent(*seconds)),
    });
    let next = next.map(|(clip, when)| Turn { clip, when });
    let air = Rc::new(RefCell::new(Air {
        next: next.collect(),
        ..Air::default()
    }));
    let mut events = Vec::new();
    let show = |shown: Shown<'_>| -> Result<()> {
        if let Shown::Event(event) = shown {
            events.extend(lines(std::slice::from_ref(event)));
        }
        Ok(())
    };
    listen(home, &air, echo, show);
    let hushed = air.borrow().hushed_after;
    (
        events,
        hushed.map(|samples| samples as f64 / f64::from(SAMPLE_RATE)),
    )
}

fn check(happens: &[Next<'_>], echo: Echo, expected: &[&str]) -> Option<f64> {
    let home = tempfile::tempdir().expect("a folder");
    let (events, hushed) = live(home.path(), happens, echo);
    assert_eq!(events, expected);
    hushed
}

const FINDING: &str = "right knee flection active one hundred and ten degrees";

/// The read-back comes into the microphone as loud as the therapist: nothing comes of it.
#[test]
fn it_does_not_listen_to_itself() {
    for gain in [0.1, 0.3, 1.0, 2.0] {
        check(
            &[Next::Says(FINDING), Next::Says("read back")],
            Echo { gain, ..ECHO },
            &[
                "heard",
                "proposed right knee flexion active: 110°",
                "said Right knee flexion, active, 110 degrees.",
                "heard",
                "said Waiting: right knee flexion, active, 110 degrees.",
            ],
        );
    }
}

/// Even if nothing of its own voice is taken out of what it hears, as where the loudspeaker is another machine's, no read-back
/// confirms itself; it notices, waits from then on until it has spoken, and what it has cut short it says again.
#[test]
fn no_read_back_confirms_itself() {
    let findings = [
        (FINDING, "Right knee flexion, active, 110 degrees."),
        (
            "left hip abduction passive forty degrees firm end feel",
            "Left hip A B duction, away from the body, passive, 40 degrees, firm end feel.",
        ),
        (
            "left knee extension resisted four plus",
            "Left knee extension, resisted, grade 4 plus.",
        ),
    ];
    for (said, read_back) in findings {
        let home = tempfile::tempdir().expect("a folder");
        let unknown = Echo {
            gain: 1.0,
            known: false,
        };
        let happens = [Next::Says(said), Next::Says("confirm")];
        let (events, _) = live(home.path(), &happens, unknown);
        let at = |begins: &str| events.iter().position(|event| event.starts_with(begins));
        assert_eq!(events[2], format!("said {read_back}"));
        assert!(
            at("notice I hear my own voice here") < at("said Waiting"),
            "{events:?}"
        );
        assert!(at("said Waiting") < at("recorded"), "{events:?}");
        let count = |begins: &str| events.iter().filter(|event| event.starts_with(begins)).count();
        assert_eq!(
            (count("proposed"), count("recorded"), count("notice")),
            (1, 1, 1),
            "{events:?}"
        );
    }
}

/// The echo is softer than the therapist by 16 dB, by 6, and louder by 4.
#[test]
fn it_is_silent_at_once_when_somebody_speaks_and_hears_what_they_say() {
    for gain in [0.1, 0.3, 1.0] {
        let happens = [
            Next::Says("left hip abduction passive forty degrees"),
            Next::Says(FINDING),
            Next::SaysOver(0.8, "correction one hundred and twenty"),
            Next::Says("confirm"),
        ];
        let hushed = check(
            &happens,
            Echo { gain, ..ECHO },
            &[
                "heard",
                "proposed left hip abduction passive: 40°",
                "said Left hip A B duction, away from the body, passive, 40 degrees.",
                "heard",
                "proposed right knee flexion active: 110°",
                "said Right knee flexion, active, 110 degrees.",
                "heard",
                "corrected right knee flexion active: 120°",
                "said Now right knee flexion, active, 120 degrees.",
                "heard",
                "recorded left hip abduction passive: 40°",
                "recorded right knee flexion active: 120°",
                "said Recorded.",
            ],
        );
        let hushed = hushed.expect("it was hushed");
        println!("echo {gain}: silent after {hushed:.2} s");
        assert!(hushed < 0.5, "silent after {hushed} s");
    }
}

/// Nobody can confirm what has not been said to its end, whatever is made of a word that was said over it.
#[test]
fn a_confirmation_over_the_read_back_has_it_said_again() {
    let happens = [
        Next::Says(FINDING),
        Next::SaysOver(0.8, "confirm"),
        Next::Says("confirm"),
        Next::Says("confirm"),
    ];
    let home = tempfile::tempdir().expect("a folder");
    let (events, _) = live(home.path(), &happens, ECHO);
    let at = |begins: &str| events.iter().position(|event| event.starts_with(begins));
    assert!(
        at("said Waiting").is_some() && at("said Waiting") < at("recorded"),
        "{events:?}"
    );
    assert_eq!(
        events
            .iter()
            .filter(|event| event.starts_with("recorded"))
            .count(),
        1
    );
}

/// Talk to the client cuts the read-back short as well: it is said again before it can be confirmed.
#[test]
fn talk_over_the_read_back_leaves_it_unsaid() {
    let happens = [
        Next::Says(FINDING),
        Next::SaysOver(0.6, "are you comfortable like that"),
        Next::Says("confirm"),
        Next::Says("confirm"),
    ];
    let home = tempfile::tempdir().expect("a folder");
    let (events, _) = live(home.path(), &happens, ECHO);
    let what_comes_of_it = events.len() - 5;
    assert!(
        events[3..what_comes_of_it]
            .iter()
            .all(|event| ["aside", "unclear", "said I did"]
                .iter()
                .any(|talk| event.starts_with(talk))),
        "{events:?}"
    );
    assert_eq!(
        events[what_comes_of_it..],
        [
            "heard",
            "said Waiting: right knee flexion, active, 110 degrees.",
            "heard",
            "recorded right knee flexion active: 110°",
            "said Recorded.",
        ]
    );
}

#[test]
fn a_microphone_that_comes_back_is_listened_to_again() {
    check(
        &[Next::Says(FINDING), Next::Unplugged(2.0), Next::Says("confirm")],
        ECHO,
        &[
            "heard",
            "proposed right knee flexion active: 110°",
            "said Right knee flexion, active, 110 degrees.",
            "notice The microphone is gone. Nothing is heard until it is back.",
            "notice The microphone is back.",
            "heard",
            "recorded right knee flexion active: 110°",
            "said Recorded.",
        ],
    );
}

/// It is unplugged while what was said last is still being waited for: it is taken down.
#[test]
fn an_unplugged_microphone_loses_nothing_that_was_said() {
    let home = tempfile::tempdir().expect("a folder");
    let (events, _) = live(home.path(), &[Next::Says(FINDING), Next::Unplugged(0.2)], ECHO);
    assert_eq!(
        events[1], "proposed right knee flexion active: 110°",
        "{events:?}"
    );
    assert!(
        events[3].starts_with("notice The microphone is gone"),
        "{events:?}"
    );
}

/// The next finding is dictated over the read-back of the last one, as by somebody in a hurry, and is much like it: it is taken,
/// or asked for again, and never passed over as the program's own voice.
#[test]
fn a_finding_dictated_over_the_read_back_of_another_is_not_passed_over() {
    for gain in [0.1, 1.0] {
        let happens = [
            Next::Says(FINDING),
            Next::SaysOver(0.8, "left knee flection active one hundred and ten degrees"),
        ];
        let home = tempfile::tempdir().expect("a folder");
        let (events, _) = live(home.path(), &happens, Echo { gain, ..ECHO });
        let answered = [
            "proposed left knee flexion active: 110°",
            "said I did not understand that. Please repeat it.",
        ];
        assert!(
            events[3..].iter().any(|event| answered.contains(&event.as_str())),
            "{events:?}"
        );
        assert!(
            !events.iter().any(|event| event.starts_with("notice")),
            "{events:?}"
        );
    }
}
