//! `couchside visit`: a client's visits.

use clap::{Args, Subcommand};

use super::client::changed;
use super::{output, print_json, record_of_therapist};
use crate::error::Result;
use crate::record::{Record, Visit, VisitDetails, VisitId};
use crate::review::{day, visit_text};

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
    /// Writes about a visit, beside what was found; "" takes it out. What was written before stays in the history
    Edit {
        /// The client's code
        #[arg(long, value_name = "CODE")]
        client: String,
        /// The visit's number, as `couchside visit list` shows it; the latest that is not signed if you leave it out
        #[arg(long, value_name = "N")]
        visit: Option<i64>,
        #[command(flatten)]
        details: Details,
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

#[derive(Args)]
pub struct Details {
    /// The subjective history: what the client tells
    #[arg(long)]
    history: Option<String>,
    /// What you conclude, in your own words
    #[arg(long)]
    assessment: Option<String>,
    /// The treatment given
    #[arg(long)]
    treatment: Option<String>,
    #[arg(long)]
    advice: Option<String>,
    #[arg(long)]
    plan: Option<String>,
    /// What is to be tested again, and when
    #[arg(long)]
    retest: Option<String>,
}

impl Details {
    fn change(self, before: VisitDetails) -> VisitDetails {
        let text = |said, before: Option<String>| changed(said, before.clone(), Some).unwrap_or(before);
        VisitDetails {
            history: text(self.history, before.history),
            assessment: text(self.assessment, before.assessment),
            treatment: text(self.treatment, before.treatment),
            advice: text(self.advice, before.advice),
            plan: text(self.plan, before.plan),
            retest: text(self.retest, before.retest),
        }
    }
}

/// Runs `couchside visit …`.
pub fn run(command: VisitCommand) -> Result<()> {
    let mut record = record_of_therapist()?;
    match command {
        VisitCommand::Edit {
            client,
            visit,
            details,
        } => {
            let visit = record.visit_of(&client, visit)?;
            let before = one(&record, &client, visit)?.map(|visit| visit.details);
            record.describe_visit(visit, details.change(before.unwrap_or_default()))?;
            let now = one(&record, &client, visit)?;
            output(&now.map(|visit| visit_text(&visit)).unwrap_or_default())
        }
        VisitCommand::List { client, json } => {
            let visits = record.case(&client)?.visits;
            match json {
                true => visits.iter().try_for_each(print_json),
                false => output(&page(&client, &visits)),
            }
        }
        VisitCommand::Sign {
            client,
            visit,
            drop_waiting,
        } => {
            let visit = record.visit_of(&client, visit)?;
            record.sign_visit(visit, drop_waiting)?;
            let signed = one(&record, &client, visit)?;
            let told = signed.map(|visit| format!("{} It is signed off.\n", line(&visit)));
            output(&told.unwrap_or_default())
        }
    }
}

fn page(client: &str, visits: &[Visit]) -> String {
    let mut page = format!("Visits of {client}, oldest first\n\n");
    for visit in visits {
        let signed = visit.signed.as_ref().map_or("Not signed off", |_| "Signed off");
        page += &format!("{} {}.\n", line(visit), signed);
    }
    page
}

/// The client's visit of this number, as it stands.
fn one(record: &Record, client: &str, visit: VisitId) -> Result<Option<Visit>> {
    let mut visits = record.case(client)?.visits.into_iter();
    Ok(visits.rfind(|one| one.number == visit.number()))
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
