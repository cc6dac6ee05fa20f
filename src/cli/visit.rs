//! `couchside visit`: a client's visits.

use clap::Subcommand;

use super::{output, print_json};
use crate::error::Result;
use crate::record::{Record, Visit};
use crate::review::day;

#[derive(Subcommand)]
pub enum VisitCommand {
    /// Lists a client's visits
    List {
        /// The client's code
        #[arg(long, value_name = "CODE")]
        client: String,
        /// Print one JSON object per visit
        #[arg(long)]
        json: bool,
    },
    /// Signs a visit off once you have looked at it: it is closed, and what you change later is marked as an amendment
    Sign {
        /// The client's code
        #[arg(long, value_name = "CODE")]
        client: String,
        /// The visit's number, as `couchside visit list` shows it; the latest that is not signed if you leave it out
        #[arg(long, value_name = "N")]
        visit: Option<i64>,
        /// Leave out what was dictated and not confirmed
        #[arg(long)]
        drop_waiting: bool,
    },
}

/// Runs `couchside visit …`.
pub fn run(command: &VisitCommand) -> Result<()> {
    let mut record = Record::unlock()?;
    match command {
        VisitCommand::List { client, json } => {
            let visits = record.case(client)?.visits;
            match json {
                true => visits.iter().try_for_each(print_json),
                false => output(&page(client, &visits)),
            }
        }
        VisitCommand::Sign {
            client,
            visit,
            drop_waiting,
        } => {
            let visit = record.visit_of(client, *visit)?;
            record.sign_visit(visit, *drop_waiting)?;
            let visits = record.case(client)?.visits;
            let signed = visits.iter().filter(|one| one.number == visit.number());
            output(
                &signed
                    .map(|visit| format!("{} It is signed off.\n", line(visit)))
                    .collect::<String>(),
            )
        }
    }
}

fn page(client: &str, visits: &[Visit]) -> String {
    let mut page = format!("Visits of {client}, oldest first\n\n");
    for visit in visits {
        let signed = visit.signed.as_ref().map_or("not signed off", |_| "signed off");
        page += &format!("{} {}.\n", line(visit), capital(signed));
    }
    page
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .into_iter()
        .flat_map(char::to_uppercase)
        .chain(letters)
        .collect()
}

fn line(visit: &Visit) -> String {
    let aside = match visit.to_review.len() {
        0 => String::new(),
        more => format!(" Still to be looked at: {more}."),
    };
    format!(
        "{:>6}  {}. Findings: {}.{aside}",
        visit.number,
        day(&visit.date),
        visit.findings.len()
    )
}
