//! `couchside report`: a note of a visit, the progress over visits, or a letter.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::export::write_new;
use super::{output, record_of_therapist};
use crate::error::{Error, Result};
use crate::record::{self, RecordError};
use crate::review::document::{html, markdown, pdf};
use crate::review::report::{Kind, Report, Template};
use crate::settings::Settings;

/// Writes a note of a visit, the progress over visits, or a letter to whoever referred the client
#[derive(Args)]
pub struct ReportArgs {
    #[arg(value_enum)]
    kind: Kind,
    /// The client's code
    #[arg(long, value_name = "CODE")]
    client: String,
    /// The visit's number, as `couchside visit list` shows it; the latest with findings if you leave it out
    #[arg(long, value_name = "N")]
    visit: Option<i64>,
    /// Where it is written, such as note.pdf, note.html or note.md; a file that is there is not overwritten
    #[arg(long, value_name = "FILE")]
    output: PathBuf,
    /// What it is written as, if the end of the file's name does not tell
    #[arg(long, value_enum)]
    form: Option<Form>,
    /// With the client's name and year of birth instead of the code alone
    #[arg(long)]
    with_name: bool,
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
    let form = args.form.map_or_else(|| by_name(args), Ok)?;
    let home = record::home()?;
    let template = Template::of(args.kind, &home)?;
    let settings = Settings::load(&home)?;
    let grammar = super::grammar::in_use()?;
    let mut record = record_of_therapist()?;
    let client = record.client(&args.client)?;
    let case = record.case(&args.client)?;
    let visit = case.visit(args.visit).ok_or(RecordError::NoVisit)?;
    let report = Report {
        grammar: &grammar,
        client: &client,
        case: &case,
        visit,
        history: &record.history(&args.client)?,
        therapist: settings.therapist.as_deref(),
        today: &jiff::ZonedDateTime::now().date().to_string(),
        with_name: args.with_name,
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
    write_new(&args.output, &bytes)?;
    let what = format!("{} as {named}", args.kind.name());
    record.exported(&args.client, &what, Some(visit.number), args.with_name)?;
    output(&format!(
        "The {what} is in {} now{}. That it was written stands in the history.\n",
        args.output.display(),
        if args.with_name {
            ", with the name"
        } else {
            ", under the code alone"
        }
    ))
}

fn by_name(args: &ReportArgs) -> Result<Form> {
    let end = args
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
            args.output.display()
        ))),
    }
}
