//! `couchside export`: a visit or a case in an open form, for other programs. Each export is written down in the record.

use std::io::Write;
use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};

use super::{output, record_of_therapist};
use crate::error::{Error, Result};
use crate::record::{self, RecordError};
use crate::review::fhir::{Export, OwnCodes, bundle};
use crate::review::table::{CsvFile, csvw};

#[derive(Subcommand)]
pub enum ExportCommand {
    /// Writes a visit as a FHIR R4 document: one Bundle, as JSON
    Fhir(Of),
    /// Writes findings as a table (CSV), with a description of its columns beside it
    Csv(Table),
}

#[derive(Args)]
pub struct Table {
    /// The client's code
    #[arg(long, value_name = "CODE", required_unless_present = "all")]
    client: Option<String>,
    /// Every client
    #[arg(long, conflicts_with = "client")]
    all: bool,
    /// Where it is written; a file that is there is not overwritten
    #[arg(long, value_name = "FILE")]
    output: PathBuf,
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
        ExportCommand::Csv(table) => csv(&table),
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

fn csv(table: &Table) -> Result<()> {
    let mut record = record_of_therapist()?;
    let clients = match &table.client {
        Some(code) => vec![record.client(code)?.code],
        None => record.clients()?.into_iter().map(|client| client.code).collect(),
    };
    let name = table.output.file_name().unwrap_or_default().to_string_lossy();
    let beside = table.output.with_file_name(format!("{name}-metadata.json"));
    let described = serde_json::to_string_pretty(&csvw(&name)).unwrap_or_default() + "\n";
    let mut rows = 0;
    write_new_with(&table.output, |out| {
        let failed = |source| failed(&table.output, source);
        let mut file = CsvFile::new(std::io::BufWriter::new(out)).map_err(failed)?;
        record.every_finding(table.client.as_deref(), |row| {
            rows += 1;
            file.add(&row).map_err(failed)
        })?;
        file.end().map_err(failed)
    })?;
    write_new(&beside, described.as_bytes())?;
    for client in &clients {
        record.exported(client, "csv", None, false)?;
    }
    output(&format!(
        "{rows} findings are in {} now, under the codes alone; {} says what the columns mean. That they were exported stands in the history.\n",
        table.output.display(),
        beside.display()
    ))
}

/// Writes a file that is not there yet, for its owner alone, whole or not at all.
///
/// # Errors
/// It is there, or can't be written.
pub fn write_new(path: &Path, bytes: &[u8]) -> Result<()> {
    write_new_with(path, |out| {
        out.write_all(bytes).map_err(|source| failed(path, source))
    })
}

fn failed(path: &Path, source: std::io::Error) -> Error {
    Error::File {
        doing: format!("write {}; name a file that is not there yet", path.display()),
        source,
    }
}

/// As [`write_new`], by what is told where to write.
fn write_new_with(path: &Path, write: impl FnOnce(&mut std::fs::File) -> Result<()>) -> Result<()> {
    let folder = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let failed = |source| failed(path, source);
    let mut making = tempfile::Builder::new()
        .prefix(".making-")
        .tempfile_in(folder)
        .map_err(failed)?;
    write(making.as_file_mut())?;
    making.as_file().sync_all().map_err(failed)?;
    making
        .persist_noclobber(path)
        .map_err(|error| failed(error.error))?;
    Ok(())
}
