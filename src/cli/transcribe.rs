//! `couchside transcribe`: what the speech model hears without the grammar, for comparison with other recognisers.

use std::io::Write;
use std::path::PathBuf;
use std::time::Instant;

use crate::error::{Error, Result};
use crate::hear::engine::{Engine, Window};
use crate::hear::{model, read_wav};

/// Prints the plain words of recorded speech, without the grammar: a JSON object per file.
#[derive(clap::Args)]
pub struct Transcribe {
    /// The speech model's name
    #[arg(long)]
    model: Option<String>,
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
        let mut engine = Engine::load(&model::path_of(self.model.as_deref())?)?;
        let window = if self.full_window {
            Window::Full
        } else {
            Window::Fitted
        };
        for file in &self.files {
            let samples = read_wav(file)?;
            let began = Instant::now();
            engine.encode(&samples, window)?;
            let text = engine.transcribe(usize::MAX)?.text;
            let ms = (began.elapsed().as_secs_f64() * 1000.0).round();
            let line = serde_json::json!({"file": file.to_string_lossy(), "text": text, "decode_ms": ms});
            writeln!(std::io::stdout(), "{line}").map_err(|source| Error::File {
                doing: "write the words".into(),
                source,
            })?;
        }
        Ok(())
    }
}
