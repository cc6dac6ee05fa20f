//! `couchside evaluate`: how well folders of cases are understood.

use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use clap::Args;
use indicatif::{ProgressBar, ProgressStyle};

use super::{output, print_json};
use crate::error::{Error, Result};
use crate::evaluate::{EvaluateError, Evidence, Report, Watch, evaluate, find, read_transcripts, teach};
use crate::grammar::Grammar;
use crate::hear::{model, model_name};
use crate::learn::Learnt;

/// Hears cases whose truth is known and reports how many are understood, asked about, missed and silently wrong.
#[derive(Args)]
pub struct Evaluate {
    /// Print everything, utterance by utterance, as one JSON document
    #[arg(long)]
    json: bool,
    /// Print a line for each utterance before the report
    #[arg(long, conflicts_with = "json")]
    each: bool,
    /// Write what spoke for each sentence to this file, a line of JSON for each utterance
    #[arg(long, value_name = "FILE")]
    evidence: Option<PathBuf>,
    /// Judge what another recogniser wrote of the cases instead of hearing them: lines like
    /// {"case": "…", "text": "…", "ms": 250}
    #[arg(long, value_name = "FILE", conflicts_with_all = ["evidence", "model", "jobs"])]
    transcripts: Option<PathBuf>,
    /// The speech model's name
    #[arg(long, value_name = "NAME")]
    model: Option<String>,
    /// Hear these cases first, and learn from them as from a therapist's corrections; they are not reported
    #[arg(long, value_name = "FOLDER", conflicts_with = "transcripts")]
    taught_by: Option<PathBuf>,
    /// Cases heard at a time; more than one makes the times of decoding longer
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u16).range(1..=64))]
    jobs: u16,
    /// Folders of cases, looked through with all folders in them; a case is a folder with speech.wav and case.toml
    #[arg(required = true, value_name = "FOLDER")]
    folders: Vec<PathBuf>,
}

/// Set by Ctrl-C.
static STOP: AtomicBool = AtomicBool::new(false);

impl Evaluate {
    /// Runs the command. What could be heard is reported even if not all of it could; then the exit status is 1.
    pub fn run(self) -> Result<()> {
        let mut cases = Vec::new();
        for folder in &self.folders {
            cases.extend(find(folder)?);
        }
        cases.sort();
        cases.dedup();
        let grammar = super::grammar::in_use()?;
        let report = match &self.transcripts {
            Some(file) => {
                let run = read_transcripts(&cases, file, &grammar)?;
                Report::new(&model_name(file), &grammar.version, 1, run)
            }
            None => self.hear(&cases, &grammar)?,
        };
        if self.json {
            print_json(&report)?;
        } else {
            if self.each {
                let lines: Vec<String> = report.utterances.iter().map(|one| format!("{one}\n")).collect();
                output(&(lines.concat() + "\n"))?;
            }
            output(&report.to_string())?;
        }
        let (heard, unread, cases) = (report.heard, report.unread.len(), report.cases);
        if heard + unread < cases {
            return Err(EvaluateError::Stopped { heard, cases }.into());
        }
        match unread {
            0 => Ok(()),
            _ => Err(EvaluateError::Unread { unread, cases }.into()),
        }
    }

    fn hear(&self, cases: &[PathBuf], grammar: &Arc<Grammar>) -> Result<Report> {
        let model_file = model::path_of(self.model.as_deref())?;
        watch_for_ctrl_c()?;
        let learnt = match &self.taught_by {
            Some(folder) => {
                let lessons = find(folder)?;
                let shown = Shown::new(lessons.len());
                let learnt = teach(&lessons, &model_file, grammar, &shown)?;
                shown.end();
                learnt
            }
            None => Learnt::default(),
        };
        let shown = Shown::new(cases.len());
        let jobs = usize::from(self.jobs).min(cases.len());
        let run = evaluate(cases, &model_file, grammar, &learnt, jobs, &shown)?;
        shown.end();
        if let Some(file) = &self.evidence {
            write_evidence(file, &run.evidence)?;
        }
        Ok(Report::new(&model_name(&model_file), &grammar.version, jobs, run))
    }
}

fn write_evidence(file: &Path, evidence: &[Evidence]) -> Result<()> {
    let lines: serde_json::Result<String> = evidence
        .iter()
        .map(|one| Ok(serde_json::to_string(one)? + "\n"))
        .collect();
    lines
        .map_err(std::io::Error::from)
        .and_then(|lines| std::fs::write(file, lines))
        .map_err(|source| Error::File {
            doing: format!("write {}", file.display()),
            source,
        })
}

/// The first Ctrl-C ends the run after the cases at hand and reports those; the second ends the program.
fn watch_for_ctrl_c() -> Result<()> {
    ctrlc::set_handler(|| {
        if STOP.swap(true, Ordering::Relaxed) {
            std::process::exit(130);
        }
        eprintln!("stopping after the case at hand; Ctrl-C again ends at once");
    })
    .map_err(|error| Error::File {
        doing: "watch for Ctrl-C".into(),
        source: std::io::Error::other(error),
    })
}

/// How far it has come, on standard error: a bar on a terminal, else ten lines over the run.
struct Shown {
    bar: Option<ProgressBar>,
}

impl Shown {
    fn new(cases: usize) -> Shown {
        let bar = std::io::stderr()
            .is_terminal()
            .then(|| ProgressBar::new(cases as u64));
        let template = "hearing {wide_bar} {pos} of {len} cases, {eta} to go";
        // A template that can't be read would only cost the looks.
        if let (Some(bar), Ok(style)) = (&bar, ProgressStyle::with_template(template)) {
            bar.set_style(style);
        }
        Shown { bar }
    }

    fn end(&self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}

impl Watch for Shown {
    fn done(&self, cases: usize, of: usize) {
        match &self.bar {
            Some(bar) => bar.inc(1),
            None if cases * 10 / of > (cases - 1) * 10 / of => eprintln!("heard {cases} of {of} cases"),
            None => {}
        }
    }

    fn stop(&self) -> bool {
        STOP.load(Ordering::Relaxed)
    }
}
