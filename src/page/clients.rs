//! Clients: the list, a new one, and what is written about one.

use std::sync::Arc;

use askama::Template;
use axum::Form;
use axum::extract::{Path, State};
use serde::Deserialize;

use super::answer::{Answer, Refusal, go_to, page};
use super::desk::Desk;
use super::form::{in_address, typed};
use crate::record::{Client, ClientDetails, Sex};
use crate::review::day;

#[derive(Template)]
#[template(path = "clients.html")]
struct List {
    clients: Vec<Line>,
}

struct Line {
    code: String,
    address: String,
    name: String,
    visits: u32,
    last: String,
}

impl Line {
    fn of(client: Client) -> Line {
        Line {
            address: in_address(&client.code),
            name: client.details.name.unwrap_or_default(),
            visits: client.visits,
            last: client.last_visit.as_deref().map(day).unwrap_or_default(),
            code: client.code,
        }
    }
}

/// Every client.
pub async fn list(State(desk): State<Arc<Desk>>) -> Answer {
    let clients = desk.with(|record, _| Ok(record.clients()?)).await?;
    page(&List {
        clients: clients.into_iter().map(Line::of).collect(),
    })
}

#[derive(Deserialize)]
pub struct Code {
    code: String,
}

/// A new client.
pub async fn add(State(desk): State<Arc<Desk>>, Form(form): Form<Code>) -> Answer {
    let code = typed(&form.code).unwrap_or_default();
    let address = in_address(&code);
    desk.with(move |record, _| Ok(record.add_client(&code, ClientDetails::default())?))
        .await?;
    Ok(go_to(&format!("/client/{address}")))
}

#[derive(Template)]
#[template(path = "about.html")]
struct About {
    code: String,
    address: String,
    details: ClientDetails,
    born: String,
    sexes: Vec<(&'static str, bool)>,
}

/// What is written about a client, to be changed.
pub async fn about(State(desk): State<Arc<Desk>>, Path(code): Path<String>) -> Answer {
    let client = desk.with(move |record, _| Ok(record.client(&code)?)).await?;
    let details = client.details;
    page(&About {
        address: in_address(&client.code),
        code: client.code,
        born: details.born.map(|year| year.to_string()).unwrap_or_default(),
        sexes: [
            ("female", Sex::Female),
            ("male", Sex::Male),
            ("other", Sex::Other),
        ]
        .map(|(word, sex)| (word, details.sex == Some(sex)))
        .into(),
        details,
    })
}

#[derive(Deserialize)]
pub struct Described {
    name: String,
    born: String,
    sex: String,
    referrer: String,
    consent: String,
    complaint: String,
    goals: String,
    cautions: String,
}

/// Writes it.
pub async fn describe(
    State(desk): State<Arc<Desk>>,
    Path(code): Path<String>,
    Form(form): Form<Described>,
) -> Answer {
    let born = typed(&form.born)
        .map(|year| {
            year.parse()
                .ok()
                .filter(|year| crate::record::YEARS.contains(year))
                .ok_or(year)
        })
        .transpose()
        .map_err(|year| {
            Refusal::Said(format!(
                "“{year}” can't be the year of birth: a year such as 1980."
            ))
        })?;
    let details = ClientDetails {
        name: typed(&form.name),
        born,
        sex: serde_json::from_value(form.sex.into()).ok(),
        referrer: typed(&form.referrer),
        consent: typed(&form.consent),
        complaint: typed(&form.complaint),
        goals: typed(&form.goals),
        cautions: typed(&form.cautions),
    };
    let address = in_address(&code);
    desk.with(move |record, _| Ok(record.describe_client(&code, details)?))
        .await?;
    Ok(go_to(&format!("/client/{address}")))
}
