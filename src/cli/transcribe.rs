//! `couchside transcribe`: what the speech model hears without the grammar, for comparison with other recognisers.

use std::io::Write;
use std::path::{Path, PathBuf};

use crate::error::{Error, Result};
use crate::hear::SAMPLE_RATE;
use crate::hear::engine::{Engine, Window};

/// Prints the plain words of recorded speech, without the grammar: a JSON object per file.
#[derive(clap::Args)]
pub struct Transcribe {
    /// The speech model's name
    #[arg(long, default_value = "tiny.en")]
    model: String,
    /// Look at Whisper's whole window of 30 seconds instead of one fitted to the speech
    #[arg(long)]
    full_window: bool,
    /// WAV files, each at most 30 seconds
    #[arg(required = true, value_name = "FILE.wav")]
    files: Vec<PathBuf>,
}

impl Transcribe {
    /// Prints a line for each file, in the order given, and stops at the first that cannot be heard.
    pub fn run(&self) -> Result<()> {
        let mut engine = Engine::load(&model_path(&self.model)?)?;
        let window = if self.full_window {
            Window::Full
        } else {
            Window::Fitted
        };
        for file in &self.files {
            engine.encode(&read_wav(file)?, window)?;
            let text = engine.transcribe(usize::MAX)?.text;
            let line = serde_json::json!({"file": file.to_string_lossy(), "text": text});
            writeln!(std::io::stdout(), "{line}").map_err(|source| Error::File {
                doing: "write the words".into(),
                source,
            })?;
        }
        Ok(())
    }
}

/// The file of a model by name, in `COUCHSIDE_MODELS` or the user's data folder.
fn model_path(name: &str) -> Result<PathBuf> {
    let folder = std::env::var_os("COUCHSIDE_MODELS")
        .map(PathBuf::from)
        .or_else(|| {
            let folders = directories::ProjectDirs::from("", "", "couchside")?;
            Some(folders.data_dir().join("models"))
        });
    match folder {
        Some(folder) => Ok(folder.join(format!("ggml-{name}.bin"))),
        None => Err(Error::Usage(
            "there is no home folder; set COUCHSIDE_MODELS to the folder of the models".into(),
        )),
    }
}

/// The samples of a 16 kHz mono WAV file of 16-bit numbers.
fn read_wav(path: &Path) -> Result<Vec<f32>> {
    let fault = |error: hound::Error| Error::File {
        doing: format!("read the sound {}", path.display()),
        source: std::io::Error::other(error),
    };
    let mut wav = hound::WavReader::open(path).map_err(fault)?;
    let form = wav.spec();
    if (form.sample_rate, form.channels, form.bits_per_sample) != (SAMPLE_RATE, 1, 16) {
        return Err(fault(hound::Error::FormatError(
            "it is not 16 kHz, mono, 16 bits; convert it",
        )));
    }
    wav.samples::<i16>()
        .map(|sample| Ok(f32::from(sample.map_err(fault)?) / 32768.0))
        .collect()
}
