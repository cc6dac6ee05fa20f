//! Searching, in the words of dictation.

use std::ops::ControlFlow;
use std::sync::Arc;

use askama::Template;
use axum::extract::{Query, State};
use serde::Deserialize;

use super::answer::{Answer, page};
use super::desk::Desk;
use super::form::{in_address, typed};
use crate::grammar::Grammar;
use crate::readback::written;
use crate::record::{Hit, Record, RecordError, Wanted};
use crate::review::{day, fields, limit_in_words, query};

/// Findings on a page.
const PAGE: usize = 20;

#[derive(Deserialize, Default)]
pub struct Asked {
    #[serde(default)]
    q: String,
    #[serde(default)]
    client: String,
    #[serde(default)]
    from: String,
    #[serde(default)]
    to: String,
    #[serde(default)]
    page: usize,
}

#[derive(Template)]
#[template(path = "search.html")]
struct Found {
    asked: Asked,
    /// What the grammar understood, in words.
    understood: String,
    /// What is looked for as text.
    as_text: Vec<String>,
    hits: Vec<Line>,
    was_asked: bool,
    first: usize,
    last: usize,
    next: Option<String>,
    before: Option<String>,
    /// What can be examined, offered as one types.
    examined: Vec<String>,
}

struct Line {
    client: String,
    address: String,
    date: String,
    id: i64,
    sentence: String,
    /// The words as heard, in stretches; those that were looked for are marked.
    heard: Vec<(String, bool)>,
}

/// The form, and what was found.
pub async fn show(State(desk): State<Arc<Desk>>, Query(asked): Query<Asked>) -> Answer {
    let wanted = Wanted {
        client: typed(&asked.client),
        from: typed(&asked.from),
        to: typed(&asked.to),
        ..query(&desk.grammar, &asked.q)
    };
    let understood = wanted.finding.as_ref().map(fields).into_iter();
    let limits = wanted.limits.iter().map(limit_in_words);
    let understood = understood.chain(limits).collect::<Vec<_>>().join("; ");
    let as_text = wanted.texts.clone();
    let was_asked = !understood.is_empty() || !as_text.is_empty() || wanted.client.is_some();
    let number = asked.page.max(1);
    let before = (number - 1) * PAGE;
    let hits = match was_asked {
        true => {
            desk.with(move |record, _| Ok(one_page(record, &wanted, before)?))
                .await?
        }
        false => Vec::new(),
    };
    let more = hits.len() > PAGE;
    let grammar = desk.grammar.clone();
    let lines: Vec<Line> = hits
        .into_iter()
        .take(PAGE)
        .map(|hit| line(&grammar, hit))
        .collect();
    let address = |number: usize| {
        let Asked {
            q, client, from, to, ..
        } = &asked;
        let all = [("q", q), ("client", client), ("from", from), ("to", to)];
        let all = all.map(|(name, value)| format!("{name}={}", in_address(value)));
        format!("/search?{}&page={number}", all.join("&"))
    };
    page(&Found {
        next: more.then(|| address(number + 1)),
        before: (number > 1).then(|| address(number - 1)),
        first: before + 1,
        last: before + lines.len(),
        examined: examined(&desk.grammar),
        understood,
        as_text,
        hits: lines,
        was_asked,
        asked,
    })
}

/// Every movement with its joint, muscle and test.
fn examined(grammar: &Grammar) -> Vec<String> {
    let movements = grammar.joints.iter().flat_map(|joint| {
        let of_joint = joint.movements.iter();
        of_joint.map(move |movement| format!("{} {}", joint.name, movement.name))
    });
    let muscles = grammar.muscles.iter().map(|muscle| muscle.name.clone());
    let tests = grammar.tests.iter().map(|test| test.name.clone());
    movements.chain(muscles).chain(tests).collect()
}

/// A page and one more.
fn one_page(record: &Record, wanted: &Wanted, before: usize) -> Result<Vec<Hit>, RecordError> {
    let (mut seen, mut hits) = (0, Vec::new());
    record.search(wanted, |hit| {
        seen += 1;
        if seen > before {
            hits.push(hit);
        }
        match hits.len() > PAGE {
            true => ControlFlow::Break(()),
            false => ControlFlow::Continue(()),
        }
    })?;
    Ok(hits)
}

fn line(grammar: &Grammar, hit: Hit) -> Line {
    Line {
        address: in_address(&hit.client),
        client: hit.client,
        date: day(&hit.date),
        id: hit.id,
        sentence: written(grammar, &hit.finding),
        heard: stretches(&hit.marked),
    }
}

/// `[` and `]` stand around what was looked for.
fn stretches(marked: &str) -> Vec<(String, bool)> {
    let mut stretches = Vec::new();
    let mut rest = marked;
    while let Some((before, after)) = rest.split_once('[') {
        let (found, after) = after.split_once(']').unwrap_or((after, ""));
        stretches.push((before.to_owned(), false));
        stretches.push((found.to_owned(), true));
        rest = after;
    }
    stretches.push((rest.to_owned(), false));
    stretches
}
