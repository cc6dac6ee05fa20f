//! `couchside record`: making the encrypted record and checking it.

use std::path::{Path, PathBuf};

use clap::Subcommand;
use indicatif::{ProgressBar, ProgressStyle};

use crate::cli::{output, print_json};
use crate::error::Result;
use crate::record::{self, Ask, Due, Passphrase, Record, RecordError, Verified};
use crate::review::{day, when};
use crate::settings::Settings;

#[derive(Subcommand)]
pub enum RecordCommand {
    /// Makes an empty encrypted record
    New,
    /// Checks that the record is as it was written
    Verify,
    /// Makes everything that the record shows anew from its history
    Rebuild,
    /// Changes the passphrase
    Passphrase,
    /// Writes everything into a file of JSON Lines, which is not encrypted
    Export {
        /// The file to make; it must not be there
        file: PathBuf,
    },
    /// Makes a record, where there is none, from what was exported
    Import {
        /// The file
        file: PathBuf,
    },
    /// Lists what has been kept for as long as your settings say. Nothing is erased by itself
    Due {
        /// Print one JSON object each
        #[arg(long)]
        json: bool,
    },
    /// Copies the whole record into a file, encrypted as it is, and checks the copy
    Backup {
        /// The file to make; it must not be there
        file: PathBuf,
    },
    /// Makes a copy the record of this computer, where there is none
    Restore {
        /// The copy
        file: PathBuf,
    },
}

/// Runs `couchside record …`.
pub fn run(command: &RecordCommand) -> Result<()> {
    match command {
        RecordCommand::New => new(),
        RecordCommand::Verify => verify(),
        RecordCommand::Rebuild => rebuild(),
        RecordCommand::Passphrase => passphrase(),
        RecordCommand::Export { file } => export(file),
        RecordCommand::Import { file } => import(file),
        RecordCommand::Due { json } => due(*json),
        RecordCommand::Backup { file } => backup(file),
        RecordCommand::Restore { file } => restore(file),
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
    output(&format!("The record is whole.\n{}", held(&whole)))
}

fn rebuild() -> Result<()> {
    let mut record = Record::unlock()?;
    let progress = bar();
    let acts = record.rebuild(|done, all| {
        progress.set_length(all as u64);
        progress.set_position(done as u64);
    })?;
    progress.finish_and_clear();
    output(&format!(
        "Everything is made anew from the {acts} entries of its history.\n"
    ))
}

/// How far long work is; on the terminal only.
fn bar() -> ProgressBar {
    let style = ProgressStyle::with_template("{bar:40} {pos} of {len}, {eta} left");
    let bar = ProgressBar::no_length();
    match style {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}

fn passphrase() -> Result<()> {
    let home = record::home()?;
    if !Record::exists(&home) {
        return Err(RecordError::NoRecord(home).into());
    }
    let mut record = Record::open(&home, &Passphrase::obtain(Ask::Once)?)?;
    record.change_passphrase(&Passphrase::obtain(Ask::New)?)?;
    output(
        "The passphrase is changed. The new one opens the record from now on; copies that you made before still need the old one.\n",
    )
}

fn export(file: &Path) -> Result<()> {
    let acts = Record::unlock()?.export(file)?;
    output(&format!(
        "All {acts} entries of the record's history are now in {}, with the sound that is kept. That file is NOT encrypted: \
         whoever has it can read everything. Erase it when it has served.\n",
        file.display()
    ))
}

fn import(file: &Path) -> Result<()> {
    let home = record::home()?;
    if Record::exists(&home) {
        return Err(RecordError::RecordExists(home).into());
    }
    let whole = Record::import(file, &home, &Passphrase::obtain(Ask::Twice)?)?;
    output(&format!(
        "The record is in {}, and whole.\n{}",
        home.display(),
        held(&whole)
    ))
}

fn due(json: bool) -> Result<()> {
    let settings = Settings::load(&record::home()?)?;
    let due = Record::unlock()?.due(settings.sound_kept, settings.visits_kept)?;
    if json {
        return due.iter().try_for_each(print_json);
    }
    if due.is_empty() {
        return output("Nothing is due.\n");
    }
    let mut page = String::from(
        "Kept for as long as your settings say; whether it may or must go now, the law and your professional body decide\n\n",
    );
    let mut clips = String::new();
    for one in &due {
        page += &match one {
            Due::Sound { client, clip, at } => {
                clips += &format!(" {clip}");
                format!("  sound {clip} of {client}, {}\n", when(at))
            }
            Due::Visit { client, visit, date } => format!("  visit {visit} of {client}, {}\n", day(date)),
        };
    }
    if !clips.is_empty() {
        page += &format!("\nTo erase the sound for good: couchside sound erase{clips}\n");
    }
    output(&page)
}

fn backup(file: &Path) -> Result<()> {
    let home = record::home()?;
    // Nobody should be asked for the passphrase of a record that is not there.
    if !Record::exists(&home) {
        return Err(RecordError::NoRecord(home).into());
    }
    let passphrase = Passphrase::obtain(Ask::Once)?;
    let whole = Record::open(&home, &passphrase)?.back_up(file, &passphrase)?;
    output(&format!(
        "The copy {} is whole. The same passphrase opens it.\n{}",
        file.display(),
        held(&whole)
    ))
}

fn restore(file: &Path) -> Result<()> {
    let home = record::home()?;
    if Record::exists(&home) {
        return Err(RecordError::RecordExists(home).into());
    }
    let whole = Record::restore(file, &home, &Passphrase::obtain(Ask::Once)?)?;
    output(&format!(
        "The record is in {} again, and whole.\n{}",
        home.display(),
        held(&whole)
    ))
}

fn held(whole: &Verified) -> String {
    format!(
        "Clients: {}. Visits: {}. Findings: {}. Entries in its history: {}.\n",
        whole.clients, whole.visits, whole.findings, whole.acts
    )
}
