//! The parts that a template may show.

use super::Report;
use super::comparison::comparison;
use super::course::course;
use super::findings::findings;
use super::pictures::pictures;
use super::template::Show;
use crate::record::What;
use crate::review::document::{Block, Fact, List, Run};
use crate::review::hints::hints;
use crate::review::rows::notes;
use crate::review::{day, fields, when};

/// A part; nothing if there is nothing to show.
pub fn shown(report: &Report<'_>, show: Show) -> Vec<Block> {
    let details = &report.visit.details;
    match show {
        Show::Client => vec![Block::Facts(about(report))],
        Show::Cautions => text(report.client.details.cautions.as_ref()),
        Show::History => text(details.history.as_ref()),
        Show::Assessment => text(details.assessment.as_ref()),
        Show::Treatment => text(details.treatment.as_ref()),
        Show::Advice => text(details.advice.as_ref()),
        Show::Plan => text(details.plan.as_ref()),
        Show::Retest => text(details.retest.as_ref()),
        Show::Findings => findings(report),
        Show::Notes => dictated(report),
        Show::Pictures => pictures(report),
        Show::Comparison => comparison(report),
        Show::Course => course(report),
        Show::Amendments => amendments(report),
        Show::Hints => hinted(report),
        Show::Signature => vec![Block::Signature(
            report.therapist.unwrap_or("Therapist").to_owned(),
        )],
    }
}

fn text(text: Option<&String>) -> Vec<Block> {
    text.map(|text| Block::paragraphs(text)).unwrap_or_default()
}

fn about(report: &Report<'_>) -> Vec<Fact> {
    let client = report.client;
    let details = &client.details;
    let mut facts = vec![Fact::new("Client", client.code.clone())];
    if report.with_name {
        facts.extend(details.name.iter().map(|name| Fact::new("Name", name)));
        facts.extend(details.born.map(|born| Fact::new("Born", born.to_string())));
    }
    facts.push(Fact::new(
        "Visit",
        format!("{} of {}", report.visit.number, day(&report.visit.date)),
    ));
    facts.extend(
        details
            .complaint
            .iter()
            .map(|text| Fact::new("Presenting complaint", text)),
    );
    facts.extend(report.therapist.map(|name| Fact::new("Therapist", name)));
    facts.push(Fact::new(
        "State",
        match (&report.visit.signed, &report.visit.amended) {
            (None, _) => "not signed off".to_owned(),
            (Some(signed), None) => format!("signed off {}", when(signed)),
            (Some(signed), Some(amended)) => {
                format!("signed off {}, amended {}", when(signed), when(amended))
            }
        },
    ));
    facts
}

/// Items one below the other; nothing if there are none.
pub fn list(items: Vec<Vec<Run>>) -> Vec<Block> {
    match items.is_empty() {
        true => Vec::new(),
        false => vec![Block::List(List {
            numbered: false,
            items,
        })],
    }
}

fn dictated(report: &Report<'_>) -> Vec<Block> {
    let items: Vec<Vec<Run>> = notes(&report.visit.findings)
        .filter_map(|kept| Some(vec![Run::plain(kept.finding.text.clone()?)]))
        .collect();
    list(items)
}

fn hinted(report: &Report<'_>) -> Vec<Block> {
    if !report.with_hints {
        return Vec::new();
    }
    let hints = hints(report.grammar, report.visit);
    let items: Vec<Vec<Run>> = hints
        .into_iter()
        .map(|hint| vec![Run::plain(format!("{} ", hint.says)), Run::emphasis(hint.source)])
        .collect();
    list(items)
}

/// What was changed or taken back after the visit was signed off.
fn amendments(report: &Report<'_>) -> Vec<Block> {
    let Some(signed) = &report.visit.signed else {
        return Vec::new();
    };
    let changed = report.history.iter().filter(|done| {
        done.at > *signed
            && done.visit == Some(report.visit.number)
            && matches!(done.what, What::Corrected | What::Withdrawn)
    });
    let items: Vec<Vec<Run>> = changed
        .map(|done| {
            let finding = done.finding.as_ref().map(fields).unwrap_or_default();
            let why = done
                .why
                .as_ref()
                .map(|why| format!(" Because: {why}."))
                .unwrap_or_default();
            let who = done
                .who
                .as_ref()
                .map(|who| format!(", by {who}"))
                .unwrap_or_default();
            let back = if done.what == What::Withdrawn {
                "taken back, "
            } else {
                ""
            };
            vec![Run::plain(format!(
                "{}{who}: {back}{finding}.{why}",
                when(&done.at)
            ))]
        })
        .collect();
    list(items)
}
