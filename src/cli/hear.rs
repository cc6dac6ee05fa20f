//! `couchside hear`: what recorded speech says.

use std::path::{Path, PathBuf};

use clap::Args;
use serde::Serialize;

use super::print_json;
use crate::error::Result;
use crate::finding::Outcome;
use crate::hear::{Heard, Recogniser, model, read_wav};
use crate::interpret::Interpreter;
use crate::pipeline::{Listener, Scribe};

/// Prints what recorded speech says: a JSON object for each utterance, one per line.
#[derive(Args)]
pub struct Hear {
    /// Each file stands alone: nothing carries over from the file before
    #[arg(long)]
    each: bool,
    /// The speech model's name
    #[arg(long, value_name = "NAME")]
    model: Option<String>,
    /// WAV files, one dictation in the order given
    #[arg(required = true, value_name = "FILE.wav")]
    files: Vec<PathBuf>,
}

#[derive(Serialize)]
struct Line<'a> {
    file: &'a Path,
    start_s: f64,
    end_s: f64,
    heard: &'a str,
    #[serde(flatten)]
    outcome: &'a Outcome,
    confidence: f64,
    decode_ms: u64,
}

impl Hear {
    /// Runs the command. Stops at the first file that cannot be heard.
    pub fn run(self) -> Result<()> {
        let grammar = super::grammar::in_use()?;
        let recogniser = Recogniser::load(&model::path_of(self.model.as_deref())?, grammar.clone())?;
        let mut listener = Listener::new(recogniser);
        let mut printer = Printer {
            file: Path::new(""),
            interpreter: Interpreter::new(grammar),
        };
        for file in &self.files {
            if self.each {
                printer.interpreter.forget();
            }
            let samples = read_wav(file)?;
            printer.file = file;
            listener.recording(&samples, &mut printer)?;
        }
        Ok(())
    }
}

/// Prints what is heard in a file.
struct Printer<'a> {
    file: &'a Path,
    interpreter: Interpreter,
}

impl Scribe for Printer<'_> {
    fn interpreter(&self) -> &Interpreter {
        &self.interpreter
    }

    fn take(&mut self, heard: &Heard) -> Result<()> {
        let understood = self.interpreter.choose(heard);
        self.interpreter.follow(&understood.reading);
        print_json(&Line {
            file: self.file,
            start_s: rounded(heard.start_s, 100.0),
            end_s: rounded(heard.end_s, 100.0),
            heard: &understood.words,
            outcome: &understood.reading.outcome,
            confidence: rounded(understood.confidence.into(), 1000.0),
            decode_ms: heard.took.as_millis() as u64,
        })?;
        Ok(())
    }
}

fn rounded(value: f64, steps: f64) -> f64 {
    (value * steps).round() / steps
}
