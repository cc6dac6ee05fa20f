//! The commands, one file each.

mod parse;

use std::io::Write;
mod devices;
mod model;
mod model_progress;

mod record;
mod show;

use std::io::Write;
mod transcribe;

use std::process::ExitCode;

use clap::{Parser, Subcommand};
use serde::Serialize;

use crate::error::{Error, Result};

/// Takes down a therapist's spoken joint examination, says each finding back and keeps what is confirmed.
#[derive(Parser)]
#[command(name = "couchside", version, about)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    Parse(parse::Parse),
    /// List the microphones and loudspeakers
    Devices,
    /// Adds, lists and checks speech models
    Model(model::Model),
    /// Makes or checks the encrypted record
    #[command(subcommand)]
    Record(record::RecordCommand),
    /// Shows a client's case
    Show(show::ShowArgs),
    #[command(hide = true)]
    Transcribe(transcribe::Transcribe),
}

/// Runs the command given on the command line and returns its exit status.
pub fn main() -> ExitCode {
    let cli = Cli::parse();
    match run(cli.command) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("couchside: {error}");
            ExitCode::from(error.exit_code())
        }
    }
}

fn run(command: Command) -> Result<()> {
    match command {
        Command::Parse(command) => command.run(),
    }
}

/// Prints one JSON object as a line of standard output.
fn print_json(value: &impl Serialize) -> Result<()> {
    let failed = |source| Error::File {
        doing: "write to standard output".into(),
        source,
    };
    let line = serde_json::to_string(value).map_err(|error| failed(error.into()))?;
    let mut out = std::io::stdout().lock();
    writeln!(out, "{line}").and_then(|()| out.flush()).map_err(failed)
        Command::Devices => devices::run(),
        Command::Model(command) => model::run(command),
    }
        Command::Record(command) => record::run(&command),
        Command::Show(args) => show::run(&args),
    }
}

/// Writes to standard output; unlike `println!` it does not panic when the reader has gone.
fn output(text: &str) -> Result<()> {
    let mut out = std::io::stdout().lock();
    out.write_all(text.as_bytes())
        .and_then(|()| out.flush())
        .map_err(|source| Error::File {
            doing: "write the answer".to_owned(),
            source,
        })
        Command::Transcribe(transcribe) => transcribe.run(),
    }
}
