//! What is sounded of what happened: sentences, tones, or both, as the therapist likes.

use serde::{Deserialize, Serialize};

use super::tone::Tone;
use crate::event::Event;
use crate::grammar::readback::Answers as Words;

/// How the program answers aloud.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Answers {
    /// Everything in sentences.
    #[default]
    Sentences,
    /// Findings and questions in sentences, all else by tones.
    Brief,
    /// Tones, and questions in sentences: findings are read on the screen.
    Tones,
}

/// Something to be sounded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Sound<'a> {
    Tone(Tone),
    Sentence(&'a str),
    /// The seconds of a held contraction are counted.
    Count,
}

impl Answers {
    /// What is sounded of the events of one utterance, in order; `words` are the program's sentences.
    pub fn sounds<'a>(self, events: &'a [Event], words: &Words) -> Vec<Sound<'a>> {
        let finding = |event: &Event| matches!(event, Event::Proposed { .. } | Event::Corrected { .. });
        // Where a finding was heard, the sentence about it is the first that is said.
        let mut about_finding = events.iter().any(finding);
        let mut sounds = Vec::new();
        for event in events {
            match event {
                Event::Opened => sounds.push(Sound::Tone(Tone::Listening)),
                Event::Closed => sounds.push(Sound::Tone(Tone::NotListening)),
                Event::Notice { text } | Event::Caution { text, .. } => {
                    sounds.extend([Sound::Tone(Tone::Notice), Sound::Sentence(text)])
                }
                Event::Said { text } if *text == words.hold => sounds.push(Sound::Count),
                Event::Said { text } => match tone(text, words).filter(|_| self != Answers::Sentences) {
                    Some(tone) => sounds.push(Sound::Tone(tone)),
                    None if about_finding && self == Answers::Tones => sounds.push(Sound::Tone(Tone::Heard)),
                    None => sounds.push(Sound::Sentence(text)),
                },
                Event::Asked { question, .. } if about_finding && self == Answers::Tones => {
                    sounds.retain(|sound| *sound != Sound::Tone(Tone::Heard));
                    sounds.extend([Sound::Tone(Tone::Asked), Sound::Sentence(question)]);
                }
                _ => {}
            }
            about_finding &= !matches!(event, Event::Asked { .. });
        }
        // Said back later: that it was heard is told now.
        if events.iter().any(finding) && !events.iter().any(|event| matches!(event, Event::Said { .. })) {
            sounds.push(Sound::Tone(Tone::Heard));
        }
        sounds
    }
}

/// The tone that stands for one of the program's sentences.
fn tone(text: &str, words: &Words) -> Option<Tone> {
    [
        (&words.recorded, Tone::Recorded),
        (&words.disregarded, Tone::Dropped),
        (&words.taken_back, Tone::Dropped),
        (&words.kept, Tone::Recorded),
        (&words.unclear, Tone::NotUnderstood),
        (&words.parked, Tone::Dropped),
        (&words.standing_by, Tone::NotListening),
        (&words.resumed, Tone::Listening),
    ]
    .into_iter()
    .find_map(|(sentence, tone)| (sentence == text).then_some(tone))
}
