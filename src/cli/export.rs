//! `couchside export`: a visit or a case in an open form, for other programs. Each export is written down in the record.

use std::io::Write;
use std::path::PathBuf;

use clap::{Args, Subcommand};

use super::give::{Of, give, not_written};
use super::{output, record_of_therapist};
use crate::error::Result;
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
    give(
        &mut record,
        &of.output,
        |_, out| {
            out.write_all(text.as_bytes())
                .map_err(|source| not_written(&of.output, source))
        },
        |record| record.exported(&of.client, "fhir", Some(visit.number), of.with_name),
    )?;
    output(&format!(
        "Visit {} of {} is in {} now, as FHIR R4{}. That it was exported stands in the history.\n",
        visit.number,
        of.client,
        of.output.display(),
        of.called()
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
    // What describes the table goes first: alone it says nothing of anybody.
    let mut rows = 0;
    give(
        &mut record,
        &beside,
        |_, out| {
            out.write_all(described.as_bytes())
                .map_err(|source| not_written(&beside, source))
        },
        |_| Ok(()),
    )?;
    let given = give(
        &mut record,
        &table.output,
        |record, out| {
            let failed = |source| not_written(&table.output, source);
            let mut file = CsvFile::new(std::io::BufWriter::new(out)).map_err(failed)?;
            record.every_finding(table.client.as_deref(), |row| {
                rows += 1;
                file.add(&row).map_err(failed)
            })?;
            file.end().map_err(failed)
        },
        |record| {
            clients
                .iter()
                .try_for_each(|client| record.exported(client, "csv", None, false))
        },
    );
    if given.is_err() {
        let _ = std::fs::remove_file(&beside);
    }
    given?;
    output(&format!(
        "{rows} findings are in {} now, under the codes alone; {} says what the columns mean. That they were exported stands in the history.\n",
        table.output.display(),
        beside.display()
    ))
}
