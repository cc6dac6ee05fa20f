//! Cuts a stream of sound into utterances: from where somebody begins to speak to the pause that follows.

mod edges;

use edges::LOOK_BACK;

use super::SAMPLE_RATE;
use super::utterance::{Cut, Pause, Settings, Utterance};
use super::voice_detector::{FRAME, Frame, VoiceDetector};

/// Cuts the stream. How the stream is cut into pieces, and when somebody asks for what comes of it, makes no
/// difference to the result.
pub struct Endpointer {
    settings: Settings,
    detector: VoiceDetector,
    /// The sound that may still be needed; its first sample is number `base` of the stream.
    sound: Vec<f32>,
    base: usize,
    /// The frames heard of it, each with the number of its first sample.
    frames: Vec<(usize, Frame)>,
    /// The sample after the last frame heard.
    heard: usize,
    /// Frames in a row that could begin an utterance.
    run: usize,
    /// No utterance reaches back before this sample: the one before has it.
    floor: usize,
    /// The loudest of whoever spoke last: the mean power of so many [frames](SMOOTH), less with every second since.
    loudest: f32,
    open: Option<Open>,
}

/// An utterance that has begun.
struct Open {
    /// Its first sample, pre-roll included.
    from: usize,
    /// Where its speech is looked for.
    speech_from: usize,
    /// The sample after the last frame of speech.
    speech_to: usize,
    /// The rest of an utterance that was cut: kept however short it is.
    goes_on: bool,
    now: Now,
    /// Pauses that were told of.
    pauses: usize,
}

/// What an utterance that has begun is about.
#[derive(Clone, Copy, PartialEq)]
enum Now {
    /// Speech, or a gap too short to be a pause.
    Speaking,
    /// A pause that was told of.
    Pausing,
    /// A pause that ends the utterance if it lasts so long.
    Ending(Pause),
}

impl Endpointer {
    /// Makes one for a stream that begins at second 0.
    pub fn new(settings: Settings) -> Self {
        Endpointer {
            settings,
            detector: VoiceDetector::new(),
            sound: Vec::new(),
            base: 0,
            frames: Vec::new(),
            heard: 0,
            run: 0,
            floor: 0,
            loudest: 0.0,
            open: None,
        }
    }

    /// Takes in the next samples of the stream, at [`SAMPLE_RATE`].
    pub fn take(&mut self, samples: &[f32]) {
        self.sound.extend_from_slice(samples);
    }

    /// Goes on through the sound taken in, to the next thing that comes of it. `None`: more sound is needed. After
    /// [`Cut::Asking`] it goes no further until [`Endpointer::answer`] is called.
    pub fn go_on(&mut self) -> Option<Cut> {
        loop {
            if let Some(cut) = self.due() {
                return Some(cut);
            }
            self.forget();
            let samples = self.sound[self.heard - self.base..].first_chunk::<FRAME>()?;
            let frame = self.detector.hear(samples);
            self.frames.push((self.heard, frame));
            self.heard += FRAME;
            self.hear(frame);
        }
    }

    /// Says which pause ends the utterance if nothing more is said: the answer to [`Cut::Asking`].
    pub fn answer(&mut self, pause: Pause) {
        if let Some(open) = &mut self.open
            && open.now == Now::Pausing
        {
            open.now = Now::Ending(pause);
        }
    }

    /// Takes in samples and gives the utterances that ended in them, each after a middle pause.
    pub fn push(&mut self, samples: &[f32]) -> Vec<Utterance> {
        self.take(samples);
        let mut ended = Vec::new();
        while let Some(cut) = self.go_on() {
            match cut {
                Cut::Pausing(_) => {}
                Cut::Asking => self.answer(Pause::Middle),
                Cut::Ended { utterance, .. } => ended.push(utterance),
            }
        }
        ended
    }

    /// Ends the stream, or the utterance that is being said: gives it if there is one. The clock goes on.
    pub fn finish(&mut self) -> Option<Utterance> {
        self.heard = self.base + self.sound.len();
        self.run = 0;
        let open = self.open.take()?;
        self.close(&open, self.heard)
    }

    /// Seconds of sound that are kept because they are, or may become, part of an utterance, or have not been gone
    /// through yet.
    pub fn kept_s(&self) -> f64 {
        seconds(self.sound.len())
    }

    fn hear(&mut self, frame: Frame) {
        let power = mean_power(&self.frames);
        let near = self
            .detector
            .is_near(power, self.loudest, self.settings.others_db);
        match &mut self.open {
            Some(open) => {
                self.loudest = self.loudest.max(power);
                if frame.voice >= self.settings.off && near {
                    open.speech_to = self.heard;
                    open.now = Now::Speaking;
                }
            }
            None => {
                self.loudest *= FADING;
                self.run = if frame.voice >= self.settings.on && near {
                    self.run + 1
                } else {
                    0
                };
                if self.run >= self.settings.frames_on {
                    self.begin();
                }
            }
        }
    }

    /// What comes of the last frame.
    fn due(&mut self) -> Option<Cut> {
        let open = self.open.as_ref()?;
        let quiet = self.heard - open.speech_to;
        let lasts = |pause_s: f64| quiet >= samples_in(pause_s);
        match open.now {
            Now::Speaking if lasts(self.settings.begun_s) => {
                let said = self
                    .said(open, self.heard)
                    .filter(|_| open.pauses < self.settings.most_pauses);
                let open = self.open.as_mut()?;
                if let Some(utterance) = said {
                    open.now = Now::Pausing;
                    open.pauses += 1;
                    return Some(Cut::Pausing(utterance));
                }
                open.now = Now::Ending(Pause::Middle);
            }
            Now::Pausing if lasts(self.settings.short_s) => return Some(Cut::Asking),
            Now::Ending(pause) if lasts(self.settings.seconds(pause)) => {
                let open = self.open.take()?;
                let utterance = self.close(&open, self.heard)?;
                let pause_s = seconds(quiet);
                return Some(Cut::Ended { utterance, pause_s });
            }
            _ => {}
        }
        let open = self
            .open
            .take_if(|open| self.heard + FRAME - open.from > samples_in(self.settings.longest_s))?;
        let utterance = self.cut(open)?;
        Some(Cut::Ended {
            utterance,
            pause_s: 0.0,
        })
    }

    /// Lets go of sound that no utterance can need any more.
    fn forget(&mut self) {
        let needed = samples_in(self.settings.pre_roll_s) + LOOK_BACK + (self.settings.frames_on + 1) * FRAME;
        let from = self
            .open
            .as_ref()
            .map_or(self.heard.saturating_sub(needed), |open| open.from);
        // Only now and then, since what is kept must be moved.
        let old = from.saturating_sub(self.base);
        if old >= (SAMPLE_RATE as usize).max(self.sound.len() / 2) {
            self.sound.drain(..old);
            self.base = from;
            let old = self.frames.partition_point(|(at, _)| *at < from);
            self.frames.drain(..old);
        }
    }
}

/// Frames over which loudness is judged: 100 ms, about half a syllable.
const SMOOTH: usize = 6;
/// How loud the last speaker was fades by 1 dB a second, so that somebody who steps back from the microphone is heard soon.
const FADING: f32 = 0.996_32;

/// The mean power of the last frames.
fn mean_power(frames: &[(usize, Frame)]) -> f32 {
    let last = &frames[frames.len().saturating_sub(SMOOTH)..];
    last.iter().map(|(_, frame)| frame.power).sum::<f32>() / last.len().max(1) as f32
}

fn samples_in(seconds: f64) -> usize {
    (seconds * f64::from(SAMPLE_RATE)).round() as usize
}

fn seconds(samples: usize) -> f64 {
    samples as f64 / f64::from(SAMPLE_RATE)
}
