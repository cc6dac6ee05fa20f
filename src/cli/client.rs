//! `couchside client`: the clients, and what is written about them.

use clap::{Args, Subcommand};

use super::{output, print_json, record_of_therapist};
use crate::error::{Error, Result};
use crate::record::{Client, ClientDetails, Record, Sex};
use crate::review::day;

#[derive(Subcommand)]
pub enum ClientCommand {
    /// Adds a client. `couchside listen` does so too, without details
    Add {
        code: String,
        #[command(flatten)]
        details: Details,
    },
    /// Lists the clients
    List {
        /// Print one JSON object per client
        #[arg(long)]
        json: bool,
    },
    /// Shows what is written about a client
    Show {
        code: String,
        /// Print a JSON object
        #[arg(long)]
        json: bool,
    },
    /// Writes something else about a client; "" takes it out. What was written before stays in the history
    Edit {
        code: String,
        #[command(flatten)]
        details: Details,
    },
    /// Makes two codes name one client
    Merge {
        /// The code that is to name the other client
        from: String,
        /// The client's code
        into: String,
    },
    /// Erases everything that is kept of a client, for good, at their request and where the law allows it
    Remove {
        code: String,
        /// The same code once more, so that nobody is removed by a slip
        #[arg(long, value_name = "CODE")]
        again: String,
    },
}

#[derive(Args)]
pub struct Details {
    #[arg(long)]
    name: Option<String>,
    /// Year of birth; with the sex it chooses which norms are shown, and nothing else
    #[arg(long, value_name = "YEAR")]
    born: Option<String>,
    /// female, male or other
    #[arg(long)]
    sex: Option<String>,
    #[arg(long)]
    referrer: Option<String>,
    /// To what the client has agreed, and when
    #[arg(long)]
    consent: Option<String>,
    /// The presenting complaint
    #[arg(long)]
    complaint: Option<String>,
    #[arg(long)]
    goals: Option<String>,
    /// Contraindications and cautions
    #[arg(long)]
    cautions: Option<String>,
}

impl Details {
    /// What was there, changed as was said.
    fn change(self, before: ClientDetails) -> Result<ClientDetails> {
        let born = |year: String| {
            let year: i16 = year.parse().ok()?;
            crate::record::YEARS.contains(&year).then_some(year)
        };
        let sex = |word: String| serde_json::from_value::<Sex>(word.into()).ok();
        Ok(ClientDetails {
            name: changed(self.name, before.name, Some).map_err(off("name"))?,
            born: changed(self.born, before.born, born).map_err(off("born: a year such as 1980"))?,
            sex: changed(self.sex, before.sex, sex).map_err(off("sex: female, male or other"))?,
            referrer: changed(self.referrer, before.referrer, Some).map_err(off("referrer"))?,
            consent: changed(self.consent, before.consent, Some).map_err(off("consent"))?,
            complaint: changed(self.complaint, before.complaint, Some).map_err(off("complaint"))?,
            goals: changed(self.goals, before.goals, Some).map_err(off("goals"))?,
            cautions: changed(self.cautions, before.cautions, Some).map_err(off("cautions"))?,
        })
    }
}

/// What stands there now: as it was if nothing was said, nothing if "" was. The error is what can't be.
pub(super) fn changed<T>(
    said: Option<String>,
    before: Option<T>,
    read: impl Fn(String) -> Option<T>,
) -> std::result::Result<Option<T>, String> {
    match said {
        None => Ok(before),
        Some(said) if said.is_empty() => Ok(None),
        Some(said) => read(said.clone()).map(Some).ok_or(said),
    }
}

fn off(what: &'static str) -> impl Fn(String) -> Error {
    move |said| Error::Usage(format!("“{said}” can't be the {what}"))
}

/// Runs `couchside client …`.
pub fn run(command: ClientCommand) -> Result<()> {
    match command {
        ClientCommand::Add { code, details } => {
            let details = details.change(ClientDetails::default())?;
            record_of_therapist()?.add_client(&code, details)?;
            output(&format!("{code} is added.\n"))
        }
        ClientCommand::List { json } => {
            let clients = Record::unlock()?.clients()?;
            match json {
                true => clients.iter().try_for_each(print_json),
                false => output(&list(&clients)),
            }
        }
        ClientCommand::Show { code, json } => {
            let client = Record::unlock()?.client(&code)?;
            match json {
                true => print_json(&client),
                false => output(&page(&client)),
            }
        }
        ClientCommand::Edit { code, details } => {
            let mut record = record_of_therapist()?;
            let details = details.change(record.client(&code)?.details)?;
            record.describe_client(&code, details)?;
            output(&page(&record.client(&code)?))
        }
        ClientCommand::Merge { from, into } => {
            let mut record = record_of_therapist()?;
            record.merge_clients(&from, &into)?;
            output(&page(&record.client(&into)?))
        }
        ClientCommand::Remove { code, again } => {
            if code != again {
                let why = format!("{code} and {again} are not the same code, so nobody is removed");
                return Err(Error::Usage(why));
            }
            record_of_therapist()?.remove_client(&code)?;
            output(
                "The client is removed from the record. Copies of it that were made before, and a record-form-….db that may lie \
                 beside it, still hold everything: make a new copy and erase those.\n",
            )
        }
    }
}

fn list(clients: &[Client]) -> String {
    if clients.is_empty() {
        return "There is no client yet.\n".into();
    }
    let width = clients
        .iter()
        .map(|client| client.code.len())
        .max()
        .unwrap_or_default();
    let line = |client: &Client| {
        let last = client
            .last_visit
            .as_deref()
            .map(|date| format!(", the latest on {}", day(date)));
        let name = client.details.name.as_deref().unwrap_or_default();
        let line = format!(
            "{:width$}  visits: {}{}  {name}",
            client.code,
            client.visits,
            last.unwrap_or_default()
        );
        line.trim_end().to_string() + "\n"
    };
    clients.iter().map(line).collect()
}

fn page(client: &Client) -> String {
    let details = &client.details;
    let sex = details.sex.map(crate::finding::word_of);
    let born = details.born.map(|year| year.to_string());
    let also = (!client.also.is_empty()).then(|| client.also.join(", "));
    let lines = [
        ("also known as", &also),
        ("name", &details.name),
        ("born", &born),
        ("sex", &sex),
        ("referrer", &details.referrer),
        ("consent", &details.consent),
        ("complaint", &details.complaint),
        ("goals", &details.goals),
        ("cautions", &details.cautions),
    ];
    let mut page = format!("Client {}\n", client.code);
    for (name, text) in lines {
        if let Some(text) = text {
            page += &format!("  {name:14} {text}\n");
        }
    }
    page + &format!("  {:14} {}\n", "visits", client.visits)
}
