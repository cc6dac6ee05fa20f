//! The commands, one file each.

mod amend;
mod client;
mod compare;
mod devices;
mod draw;
mod ears;
mod equipment;
mod evaluate;
mod events;
mod export;
mod give;
mod grammar;
mod hear;
mod keyboard;
mod learnt;
mod listen;
mod live_page;
mod model;
mod model_progress;
mod page;
mod parse;
mod record;
mod report;
mod search;
mod settings;
mod sftr;
mod show;
mod sound;
mod transcribe;
mod visit;

use std::io::Write;
use std::process::ExitCode;

use clap::{Parser, Subcommand};
use serde::Serialize;

use crate::error::{Error, Result};
use crate::record::{Record, home as record_home};
use crate::settings::Settings;

/// Takes down a therapist's spoken joint examination, says each finding back and keeps what is confirmed.
#[derive(Parser)]
#[command(name = "couchside", version, about)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Takes down what is dictated, from the microphone or a recording
    Listen(listen::Listen),
    Hear(hear::Hear),
    Parse(parse::Parse),
    /// Shows a client's case
    Show(show::ShowArgs),
    Search(search::Search),
    /// Adds, lists and describes clients
    #[command(subcommand)]
    Client(client::ClientCommand),
    /// Lists a client's visits, writes about them and signs them off
    #[command(subcommand)]
    Visit(visit::VisitCommand),
    Amend(amend::Amend),
    Compare(compare::CompareArgs),
    Report(report::ReportArgs),
    /// Neutral-zero (SFTR) notation of what was measured, both ways
    #[command(subcommand)]
    Sftr(sftr::SftrCommand),
    /// Writes a visit or a case in an open form, for other programs
    #[command(subcommand)]
    Export(export::ExportCommand),
    Page(page::PageArgs),
    /// Makes or checks the encrypted record
    #[command(subcommand)]
    Record(record::RecordCommand),
    /// Shows, checks and exports the vocabulary
    #[command(subcommand)]
    Grammar(grammar::GrammarCommand),
    /// Adds, lists and checks speech models
    Model(model::Model),
    /// Shows what was learnt from your corrections, or forgets some of it
    Learnt(learnt::LearntArgs),
    /// Lists, plays and erases the sound that is kept of what was dictated
    #[command(subcommand)]
    Sound(sound::SoundCommand),
    Settings(settings::SettingsArgs),
    Evaluate(evaluate::Evaluate),
    /// Lists the microphones and loudspeakers
    Devices,
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
        Command::Listen(command) => command.run(),
        Command::Hear(command) => command.run(),
        Command::Parse(command) => command.run(),
        Command::Show(args) => show::run(&args),
        Command::Search(command) => command.run(),
        Command::Client(command) => client::run(command),
        Command::Amend(args) => amend::run(&args),
        Command::Compare(args) => compare::run(&args),
        Command::Report(args) => report::run(&args),
        Command::Sftr(command) => sftr::run(command),
        Command::Export(command) => export::run(command),
        Command::Page(args) => page::run(&args),
        Command::Visit(command) => visit::run(command),
        Command::Record(command) => record::run(&command),
        Command::Grammar(command) => grammar::run(command),
        Command::Model(command) => model::run(command),
        Command::Learnt(args) => learnt::run(&args),
        Command::Sound(command) => sound::run(&command),
        Command::Settings(args) => settings::run(&args),
        Command::Evaluate(command) => command.run(),
        Command::Devices => devices::run(),
        Command::Transcribe(transcribe) => transcribe.run(),
    }
}

/// The record, for what the therapist does in it.
fn record_of_therapist() -> Result<Record> {
    let settings = Settings::load(&record_home()?)?;
    Ok(Record::unlock()?.acting_as(settings.therapist))
}

/// Writes to standard output; unlike `println!` it does not panic when the reader has gone.
fn output(text: &str) -> Result<()> {
    let mut out = std::io::stdout().lock();
    out.write_all(text.as_bytes())
        .and_then(|()| out.flush())
        .map_err(|source| Error::File {
            doing: "write the answer".into(),
            source,
        })
}

/// Prints one JSON object as a line of standard output.
fn print_json(value: &impl Serialize) -> Result<()> {
    let line = serde_json::to_string(value).map_err(|error| Error::File {
        doing: "write the answer".into(),
        source: error.into(),
    })?;
    output(&(line + "\n"))
}
