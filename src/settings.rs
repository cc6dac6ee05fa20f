//! What a therapist has chosen: `settings.toml` in the folder of the record.

use std::num::NonZeroU16;
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};

use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize};

use crate::finding::word_of;
use crate::own_file::{OwnFileError, make_folder, read, write};
use crate::pipeline::WayIn;
use crate::readback::{Answers, SaidBack};
use crate::record::{SoundKept, TalkKept};

/// The file's name, in the folder of the record.
const FILE: &str = "settings.toml";
/// What it is in a message.
const WHAT: &str = "the settings";
/// What somebody who opens the file should know.
const HEAD: &str = "\
# How couchside listens and answers. `couchside settings` says what each line may be; a line that is taken out is as usual.

";

/// The choices. What is absent is as usual.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Settings {
    pub answers: Answers,
    /// How much is dictated before it is said back and can be confirmed.
    pub said_back: SaidBack,
    /// What lets dictation in.
    pub way_in: WayIn,
    /// What is said before dictation, if that lets it in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cue: Option<String>,
    /// The therapist's name or initials, kept with everything they do in the record.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub therapist: Option<String>,
    /// How long sound is kept.
    pub sound_kept: SoundKept,
    /// How long talk that was no dictation is kept.
    pub talk_kept: TalkKept,
    /// How many years a visit is kept; without end if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub visits_kept: Option<NonZeroU16>,
    /// How loud tones are at their loudest, in dB of full scale, [`LEVELS_DB`].
    #[serde(deserialize_with = "level")]
    pub tone_level: f32,
    /// How many seconds of a held contraction are counted, [`COUNTED_S`].
    #[serde(deserialize_with = "counted")]
    pub count: u32,
    /// As `couchside devices` lists them; the system's own choice if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub microphone: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub loudspeaker: Option<String>,
    /// The program that speaks, by name or place; espeak-ng if absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub speech_program: Option<String>,
}

/// From hardly to be heard, to as loud as can be.
pub const LEVELS_DB: RangeInclusive<f32> = -60.0..=0.0;
/// One to thirty seconds.
pub const COUNTED_S: RangeInclusive<u32> = 1..=30;

impl Default for Settings {
    /// Tones as loud as quiet talk; three seconds, as manual muscle testing is commonly held (common practice, no source).
    fn default() -> Settings {
        Settings {
            answers: Answers::Sentences,
            said_back: SaidBack::Finding,
            way_in: WayIn::Open,
            cue: None,
            therapist: None,
            sound_kept: SoundKept::UntilReviewed,
            talk_kept: TalkKept::UntilReviewed,
            visits_kept: None,
            tone_level: -18.0,
            count: 3,
            microphone: None,
            loudspeaker: None,
            speech_program: None,
        }
    }
}

/// A setting's name, what it may be, and what it does.
pub const ABOUT: [(&str, &str, &str); 13] = [
    (
        "answers",
        "sentences, brief or tones",
        "sentences: everything is spoken; brief: findings and questions in sentences, all else by tones; \
         tones: findings are only shown on the screen",
    ),
    (
        "said-back",
        "finding, movement or joint",
        "finding: each finding is said back at once; movement, joint: what belongs to one is said back together, \
         when another is begun or you confirm",
    ),
    (
        "way-in",
        "open, cue, key-held or key-tapped",
        "open: whatever is said in the room may be dictation; cue: only what follows your cue word; key-held: only what is said \
         while a key or a foot switch is held; key-tapped: only what is said next after it is tapped",
    ),
    (
        "cue",
        "a word or a few that you never say otherwise",
        "what you say before each dictation, where way-in is cue",
    ),
    (
        "therapist",
        "a name or initials",
        "who you are: kept in the record with everything that you do there",
    ),
    (
        "sound-kept",
        "until-reviewed, or a number of days",
        "how long the sound of what was dictated is kept, where the client allows it: until its visit is signed off, or so many \
         days; `couchside record due` lists what is due, and nothing is erased by itself",
    ),
    (
        "talk-kept",
        "until-reviewed or never",
        "until-reviewed: the words of all that was no dictation are kept until the visit is signed off, so that you can find what \
         was missed, and are erased then; never: they are not written down",
    ),
    (
        "visits-kept",
        "a number of years",
        "how long visits are kept before `couchside record due` lists them; without end if you choose nothing",
    ),
    (
        "tone-level",
        "-60 to 0",
        "how loud tones are, in decibels; 0 is loudest",
    ),
    (
        "count",
        "1 to 30",
        "how many seconds of a held contraction are counted",
    ),
    (
        "microphone",
        "a name",
        "the microphone, as `couchside devices` lists it",
    ),
    (
        "loudspeaker",
        "a name",
        "the loudspeaker, as `couchside devices` lists it",
    ),
    ("speech-program", "a name or a place", "the program that speaks"),
];

impl Settings {
    /// Where they are kept; `home` is the folder of the record.
    pub fn place(home: &Path) -> PathBuf {
        home.join(FILE)
    }

    /// What was chosen so far.
    ///
    /// # Errors
    /// The file can't be read, or there is a slip in it.
    pub fn load(home: &Path) -> Result<Settings, OwnFileError> {
        read(&Settings::place(home), WHAT)
    }

    /// Keeps them.
    ///
    /// # Errors
    /// The file can't be written.
    pub fn save(&self, home: &Path) -> Result<(), OwnFileError> {
        let path = Settings::place(home);
        // They may be chosen before there is a record.
        make_folder(home).map_err(|source| OwnFileError::File {
            what: WHAT,
            path: path.clone(),
            doing: "written",
            source,
        })?;
        write(&path, WHAT, HEAD, self)
    }

    /// The value of a setting in words; `None` if nothing was chosen. The error says that there is no such setting.
    pub fn get(&self, name: &str) -> Result<Option<String>, String> {
        may_be(name)?;
        Ok(match name {
            "answers" => Some(word_of(self.answers)),
            "said-back" => Some(word_of(self.said_back)),
            "way-in" => Some(word_of(self.way_in)),
            "cue" => self.cue.clone(),
            "therapist" => self.therapist.clone(),
            "sound-kept" => Some(match self.sound_kept {
                SoundKept::Days(days) => days.to_string(),
                until => word_of(until),
            }),
            "talk-kept" => Some(word_of(self.talk_kept)),
            "visits-kept" => self.visits_kept.map(|years| years.to_string()),
            "tone-level" => Some(self.tone_level.to_string()),
            "count" => Some(self.count.to_string()),
            "microphone" => self.microphone.clone(),
            "loudspeaker" => self.loudspeaker.clone(),
            _ => self.speech_program.clone(),
        })
    }

    /// Chooses a value; `None`: as usual. The error says what is wrong with it.
    pub fn set(mut self, name: &str, value: Option<&str>) -> Result<Settings, String> {
        let usual = Settings::default();
        let may_be = may_be(name)?;
        let wrong = || format!("{name} may be {may_be}, not “{}”", value.unwrap_or_default());
        let text = value.map(str::to_string);
        match name {
            "answers" => {
                let answers = value.map_or(Ok(usual.answers), |value| serde_json::from_value(value.into()));
                self.answers = answers.map_err(|_| wrong())?;
            }
            "said-back" => {
                let said_back =
                    value.map_or(Ok(usual.said_back), |value| serde_json::from_value(value.into()));
                self.said_back = said_back.map_err(|_| wrong())?;
            }
            "way-in" => {
                let way_in = value.map_or(Ok(usual.way_in), |value| serde_json::from_value(value.into()));
                self.way_in = way_in.map_err(|_| wrong())?;
            }
            "cue" => self.cue = text,
            "therapist" => self.therapist = text,
            "sound-kept" => {
                let days = value.and_then(|value| value.parse().ok()).map(SoundKept::Days);
                let words = value.map_or(Ok(usual.sound_kept), |value| serde_json::from_value(value.into()));
                self.sound_kept = days.map_or(words, Ok).map_err(|_| wrong())?;
            }
            "talk-kept" => {
                let kept = value.map_or(Ok(usual.talk_kept), |value| serde_json::from_value(value.into()));
                self.talk_kept = kept.map_err(|_| wrong())?;
            }
            "visits-kept" => {
                self.visits_kept = value.map(str::parse).transpose().map_err(|_| wrong())?;
            }
            "tone-level" => {
                let level = value
                    .map_or(Ok(usual.tone_level), str::parse)
                    .map_err(|_| wrong())?;
                self.tone_level = within(level, &LEVELS_DB).ok_or_else(wrong)?;
            }
            "count" => {
                let count = value.map_or(Ok(usual.count), str::parse).map_err(|_| wrong())?;
                self.count = within(count, &COUNTED_S).ok_or_else(wrong)?;
            }
            "microphone" => self.microphone = text,
            "loudspeaker" => self.loudspeaker = text,
            _ => self.speech_program = text,
        }
        Ok(self)
    }
}

fn within<T: PartialOrd>(value: T, range: &RangeInclusive<T>) -> Option<T> {
    range.contains(&value).then_some(value)
}

// Where the file is read, so that the line with the slip is known.
fn level<'de, D: Deserializer<'de>>(from: D) -> Result<f32, D::Error> {
    let value = f32::deserialize(from)?;
    within(value, &LEVELS_DB).ok_or_else(|| Error::custom(format!("tone_level may be -60 to 0, not {value}")))
}

fn counted<'de, D: Deserializer<'de>>(from: D) -> Result<u32, D::Error> {
    let value = u32::deserialize(from)?;
    within(value, &COUNTED_S).ok_or_else(|| Error::custom(format!("count may be 1 to 30, not {value}")))
}

/// What a setting may be. The error says that there is none of that name.
fn may_be(name: &str) -> Result<&'static str, String> {
    let known = ABOUT.iter().find(|(known, ..)| *known == name);
    known.map(|(_, may_be, _)| *may_be).ok_or_else(|| {
        let names: Vec<&str> = ABOUT.iter().map(|(name, ..)| *name).collect();
        format!("there is no setting “{name}”; there are {}", names.join(", "))
    })
}
