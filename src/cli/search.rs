//! `couchside search`: findings in the record, by what they say.

use std::ops::ControlFlow;

use clap::Args;
use jiff::civil::Date;

use super::{output, print_json};
use crate::error::{Error, Result};
use crate::record::{Record, Wanted};
use crate::review::{fields, limit_in_words, query};

/// Finds recorded findings: `couchside search 'right hip internal rotation passive < 30 painful'`
#[derive(Args)]
pub struct Search {
    /// What to look for, as you would dictate it; numbers with < > = or "at least"; words that are no part of a finding
    /// are looked for in what was heard and noted, phrases in quotation marks as they stand
    #[arg(required = true)]
    query: Vec<String>,
    /// Of this client only
    #[arg(long, value_name = "CODE")]
    client: Option<String>,
    /// From this date on, such as 2026-01-31
    #[arg(long, value_name = "DATE")]
    from: Option<Date>,
    /// Up to this date
    #[arg(long, value_name = "DATE")]
    to: Option<Date>,
    /// Which page of the answer
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..))]
    page: u32,
    /// Print every finding as a JSON object, one per line
    #[arg(long)]
    json: bool,
}

/// Findings on a page.
const PAGE: usize = 20;

impl Search {
    /// Runs the command.
    pub fn run(self) -> Result<()> {
        let grammar = super::grammar::in_use()?;
        let date = |date: Option<Date>| date.map(|date| date.to_string());
        let wanted = Wanted {
            client: self.client,
            from: date(self.from),
            to: date(self.to),
            ..query(&grammar, &self.query.join(" "))
        };
        if wanted.finding.is_none() && wanted.limits.is_empty() && wanted.texts.is_empty() {
            return Err(Error::Usage(
                "there is nothing to look for in these words; name what was examined or found, or a word that was said"
                    .into(),
            ));
        }
        let record = Record::unlock()?;
        if self.json {
            if !wanted.texts.is_empty() {
                eprintln!("{}", left(&wanted));
            }
            let mut printed = Ok(());
            record.search(&wanted, |hit| {
                printed = print_json(&hit);
                match printed {
                    Ok(()) => ControlFlow::Continue(()),
                    Err(_) => ControlFlow::Break(()),
                }
            })?;
            return printed;
        }
        output(&page(&record, &wanted, self.page as usize)?)
    }
}

fn page(record: &Record, wanted: &Wanted, number: usize) -> Result<String> {
    let mut text = understood(wanted);
    if !wanted.texts.is_empty() {
        text += &format!("{}\n", left(wanted));
    }
    let before = (number - 1) * PAGE;
    let mut seen = 0;
    record.search(wanted, |hit| {
        seen += 1;
        if (before + 1..=before + PAGE).contains(&seen) {
            let heard = hit.marked.replace(char::is_control, " ");
            text += &format!("\n{}  {}  {}\n", hit.date, hit.client, fields(&hit.finding));
            text += &format!("{:12}“{heard}” (number {})\n", "", hit.id);
        }
        match seen > before + PAGE {
            true => ControlFlow::Break(()),
            false => ControlFlow::Continue(()),
        }
    })?;
    text += &match seen {
        0 => "\nNothing was found.\n".to_string(),
        1 if before == 0 => "\nOne finding.\n".to_string(),
        _ if seen > before + PAGE => format!(
            "\nThe findings {} to {}; there are more: --page {}\n",
            before + 1,
            before + PAGE,
            number + 1
        ),
        _ if seen <= before => format!("\n{seen} findings; there is no page {number}.\n"),
        _ if before > 0 => format!("\nThe findings {} to {seen}, the last.\n", before + 1),
        _ => format!("\n{seen} findings.\n"),
    };
    Ok(text)
}

fn understood(wanted: &Wanted) -> String {
    let limits = wanted.limits.iter().map(limit_in_words);
    let parts: Vec<String> = wanted.finding.iter().map(fields).chain(limits).collect();
    match parts.is_empty() {
        true => String::new(),
        false => format!("Looked for:  {}\n", parts.join("; ")),
    }
}

fn left(wanted: &Wanted) -> String {
    let quoted: Vec<String> = wanted.texts.iter().map(|text| format!("“{text}”")).collect();
    format!("As text:     {}", quoted.join(", "))
}
