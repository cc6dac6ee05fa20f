//! `couchside export`: a visit or a case in an open form, for other programs. Each export is written down in the record.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};

use super::{output, record_of_therapist};
use crate::error::{Error, Result};
use crate::record::{self, RecordError};
use crate::review::fhir::{Export, OwnCodes, bundle};

#[derive(Subcommand)]
pub enum ExportCommand {
    /// Writes a visit as a FHIR R4 document: one Bundle, as JSON
    Fhir(Of),
}

#[derive(Args)]
pub struct Of {
    /// The client's code
    #[arg(long, value_name = "CODE")]
    client: String,
    /// The visit's number, as `couchside visit list` shows it; the latest with findings if you leave it out
    #[arg(long, value_name = "N")]
    visit: Option<i64>,
    /// Where it is written; a file that is there is not overwritten
    #[arg(long, value_name = "FILE")]
    output: PathBuf,
    /// With name, year of birth and sex of the client instead of the code alone
    #[arg(long)]
    with_name: bool,
}

/// Runs `couchside export …`.
pub fn run(command: ExportCommand) -> Result<()> {
    match command {
        ExportCommand::Fhir(of) => fhir(&of),
    }
}

fn fhir(of: &Of) -> Result<()> {
    let own = OwnCodes::load(&record::home()?)?;
    let grammar = super::grammar::in_use()?;
    let mut record = record_of_therapist()?;
    let client = record.client(&of.client)?;
    let case = record.case(&of.client)?;
    let visit = case.visit(of.visit).ok_or(RecordError::NoVisit)?;
    let document = bundle(&Export {
        grammar: &grammar,
        client: &client,
        visit,
        history: &record.history(&of.client)?,
        record: &record.mark()?,
        with_name: of.with_name,
        own: &own,
    });
    let mut text = serde_json::to_string_pretty(&document).unwrap_or_default();
    text.push('\n');
    write_new(&of.output, text.as_bytes())?;
    record.exported(&of.client, "fhir", Some(visit.number), of.with_name)?;
    output(&format!(
        "Visit {} of {} is in {} now, as FHIR R4{}. That it was exported stands in the history.\n",
        visit.number,
        of.client,
        of.output.display(),
        if of.with_name {
            ", with the name"
        } else {
            ", under the code alone"
        }
    ))
}

/// Writes a file that is not there yet, for its owner alone, whole or not at all.
///
/// # Errors
/// It is there, or can't be written.
pub fn write_new(path: &Path, bytes: &[u8]) -> Result<()> {
    let folder = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let write = || -> std::io::Result<()> {
        let mut making = tempfile::Builder::new().prefix(".making-").tempfile_in(folder)?;
        making.write_all(bytes)?;
        making.as_file().sync_all()?;
        making.persist_noclobber(path)?;
        Ok(())
    };
    write().map_err(|source| Error::File {
        doing: format!("write {}; name a file that is not there yet", path.display()),
        source,
    })
}
