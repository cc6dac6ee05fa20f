//! `couchside report`: a note of a visit, the progress over visits, or a letter.

use std::io::Write;

use clap::{Args, ValueEnum};

use super::give::{Of, give, not_written};
use super::{output, record_of_therapist};
use crate::error::{Error, Result};
use crate::record::{self, RecordError};
use crate::review::document::{html, markdown, pdf};
use crate::review::report::{Kind, Report, Template};
use crate::settings::Settings;

/// Writes a note of a visit, the progress over visits, or a letter to whoever referred the client
#[derive(Args)]
pub struct ReportArgs {
    /// What is written. The end of the file's name tells the form: .pdf, .html or .md
    #[arg(value_enum)]
    kind: Kind,
    #[command(flatten)]
    of: Of,
    /// What it is written as, if the end of the file's name does not tell
    #[arg(long, value_enum)]
    form: Option<Form>,
    /// With what textbooks associate with the findings
    #[arg(long)]
    hints: bool,
}

/// What a report is written as.
#[derive(Clone, Copy, ValueEnum)]
enum Form {
    Pdf,
    Html,
    Markdown,
}

/// Runs `couchside report …`.
pub fn run(args: &ReportArgs) -> Result<()> {
    let of = &args.of;
    let form = args.form.map_or_else(|| by_name(args), Ok)?;
    let home = record::home()?;
    let template = Template::of(args.kind, &home)?;
    let settings = Settings::load(&home)?;
    let grammar = super::grammar::in_use()?;
    let mut record = record_of_therapist()?;
    let client = record.client(&of.client)?;
    let case = record.case(&of.client)?;
    let visit = case.visit(of.visit).ok_or(RecordError::NoVisit)?;
    let report = Report {
        grammar: &grammar,
        client: &client,
        case: &case,
        visit,
        history: &record.history(&of.client)?,
        therapist: settings.therapist.as_deref(),
        today: &jiff::ZonedDateTime::now().date().to_string(),
        with_name: of.with_name,
        with_hints: args.hints,
    };
    let document = report.document(&template);
    let (bytes, named) = match form {
        Form::Pdf => (
            pdf::write(&document).map_err(|error| Error::Failed(error.to_string()))?,
            "pdf",
        ),
        Form::Html => (html::write(&document).into_bytes(), "html"),
        Form::Markdown => (markdown::write(&document).into_bytes(), "markdown"),
    };
    let what = format!("{} as {named}", args.kind.name());
    give(
        &mut record,
        &of.output,
        |_, out| {
            out.write_all(&bytes)
                .map_err(|source| not_written(&of.output, source))
        },
        |record| record.exported(&of.client, &what, Some(visit.number), of.with_name),
    )?;
    output(&format!(
        "The {what} is in {} now{}. That it was written stands in the history.\n",
        of.output.display(),
        of.called()
    ))
}

fn by_name(args: &ReportArgs) -> Result<Form> {
    let end = args
        .of
        .output
        .extension()
        .and_then(|end| end.to_str())
        .unwrap_or_default();
    match end.to_ascii_lowercase().as_str() {
        "pdf" => Ok(Form::Pdf),
        "html" | "htm" => Ok(Form::Html),
        "md" | "markdown" => Ok(Form::Markdown),
        _ => Err(Error::Usage(format!(
            "“{}” does not tell what to write: end its name in .pdf, .html or .md, or add --form",
            args.of.output.display()
        ))),
    }
}
