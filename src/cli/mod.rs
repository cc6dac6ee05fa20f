//! The commands, one file each.

mod transcribe;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::error::Result;

/// Takes down a therapist's spoken joint examination, says each finding back and keeps what is confirmed.
#[derive(Parser)]
#[command(name = "couchside", version, about)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
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
        Command::Transcribe(transcribe) => transcribe.run(),
    }
}
