//! `couchside record`: making the encrypted record and checking it.

use clap::Subcommand;

use crate::cli::output;
use crate::error::Result;
use crate::record::{self, Ask, Passphrase, Record, RecordError};

#[derive(Subcommand)]
pub enum RecordCommand {
    /// Makes an empty encrypted record
    New,
    /// Checks that the record is as it was written
    Verify,
}

/// Runs `couchside record …`.
pub fn run(command: &RecordCommand) -> Result<()> {
    match command {
        RecordCommand::New => new(),
        RecordCommand::Verify => verify(),
    }
}

fn new() -> Result<()> {
    let home = record::home()?;
    // Nobody should think of a passphrase for nothing.
    if Record::exists(&home) {
        return Err(RecordError::RecordExists(home).into());
    }
    Record::create(&home, &Passphrase::obtain(Ask::Twice)?)?;
    output(&format!(
        "An empty, encrypted record is now in {}.\n\
         Keep the passphrase safe: without it nobody can open the record, and it cannot be replaced.\n",
        home.display()
    ))
}

fn verify() -> Result<()> {
    let whole = Record::unlock()?.verify()?;
    output(&format!(
        "The record is whole.\nClients: {}. Visits: {}. Findings: {}. Entries in its history: {}.\n",
        whole.clients, whole.visits, whole.findings, whole.acts
    ))
}
