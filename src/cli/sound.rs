//! `couchside sound`: the sound clips that are kept of what was dictated.

use std::path::PathBuf;

use clap::Subcommand;

use super::{output, print_json};
use crate::error::{Error, Result};
use crate::hear::write_wav;
use crate::readback::{Mouth, Said, Sounding, Voice};
use crate::record::{Clip, home};
use crate::review::when;
use crate::settings::Settings;

#[derive(Subcommand)]
pub enum SoundCommand {
    /// Lists what is kept of a client
    List {
        /// The client's code
        #[arg(long, value_name = "CODE")]
        client: String,
        /// Print one JSON object per clip
        #[arg(long)]
        json: bool,
    },
    /// Plays a clip
    Play { number: i64 },
    /// Writes a clip into a WAV file, which is not encrypted
    Save { number: i64, file: PathBuf },
    /// Erases clips for good; what was found stays
    Erase {
        #[arg(required = true)]
        numbers: Vec<i64>,
    },
}

/// Runs `couchside sound …`.
pub fn run(command: &SoundCommand) -> Result<()> {
    let mut record = super::record_of_therapist()?;
    match command {
        SoundCommand::List { client, json } => {
            let clips = record.sounds(client)?;
            match json {
                true => clips.iter().try_for_each(print_json),
                false => output(&page(client, &clips)),
            }
        }
        SoundCommand::Play { number } => play(&record.sound(*number)?),
        SoundCommand::Save { number, file } => {
            write_wav(file, &record.sound(*number)?)?;
            output(&format!(
                "The sound is now in {}. That file is not encrypted: erase it when it has served.\n",
                file.display()
            ))
        }
        SoundCommand::Erase { numbers } => {
            record.erase_sounds(numbers)?;
            output(match numbers.len() {
                1 => "The clip is erased.\n",
                _ => "The clips are erased.\n",
            })
        }
    }
}

fn page(client: &str, clips: &[Clip]) -> String {
    if clips.is_empty() {
        return format!("No sound is kept of {client}.\n");
    }
    let mut page = format!("Sound kept of {client}, oldest first\n\n");
    for clip in clips {
        let of = match clip.finding {
            Some(number) => format!("finding {number}"),
            None => "not recorded".into(),
        };
        page += &format!(
            "{:>6}  {}  {:>4.1} s  {of:14}  “{}”\n",
            clip.id,
            when(&clip.at),
            clip.lasts_s,
            clip.heard
        );
    }
    page + "\nTo hear one: couchside sound play NUMBER. To erase one for good: couchside sound erase NUMBER\n"
}

fn play(samples: &[f32]) -> Result<()> {
    let settings = Settings::load(&home()?)?;
    let mut voice = Voice::find(settings.speech_program.as_deref()).through(settings.loudspeaker);
    let failed = |error: crate::readback::VoiceError| Error::Failed(error.to_string());
    if voice.sound(samples).map_err(failed)? == Said::AsText {
        let why = voice.why_as_text().unwrap_or_default().to_string();
        return Err(Error::Failed(why));
    }
    while voice.go_on().map_err(failed)? != Sounding::Nothing {
        std::thread::sleep(std::time::Duration::from_millis(20));
    }
    Ok(())
}
