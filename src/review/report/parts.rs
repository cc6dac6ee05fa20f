//! The parts that a template may show.

use super::Report;
use super::findings::findings;
use super::template::Show;
use crate::finding::word_of;
use crate::grammar::Usual;
use crate::page::draw::{bars, body};
use crate::page::progress::progress;
use crate::record::What;
use crate::review::compare::{changed, compare, title};
use crate::review::document::{Block, Column, Drawing, Fact, Figure, Level, List, Run, Table};
use crate::review::hints::hints;
use crate::review::rows::{groups, notes};
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

fn dictated(report: &Report<'_>) -> Vec<Block> {
    let items: Vec<Vec<Run>> = notes(&report.visit.findings)
        .filter_map(|kept| Some(vec![Run::plain(kept.finding.text.clone()?)]))
        .collect();
    match items.is_empty() {
        true => Vec::new(),
        false => vec![Block::List(List {
            numbered: false,
            items,
        })],
    }
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
    match items.is_empty() {
        true => Vec::new(),
        false => vec![Block::List(List {
            numbered: false,
            items,
        })],
    }
}

/// A picture of the page, if it can be read.
fn figure(svg: Option<String>, text: String, caption: &str) -> Option<Block> {
    let drawing = Drawing::from_svg(&svg?).ok()?;
    Some(Block::Figure(Figure {
        drawing,
        text,
        caption: caption.to_owned(),
    }))
}

fn pictures(report: &Report<'_>) -> Vec<Block> {
    let all = report.visit.findings.iter().map(|kept| &kept.finding);
    let mut blocks = Vec::new();
    let mut usual: Vec<Vec<Run>> = Vec::new();
    for group in groups(&report.visit.findings) {
        let said: Vec<String> = group
            .rows
            .iter()
            .flat_map(|row| row.sides.iter().flatten().map(|kept| fields(&kept.finding)))
            .collect();
        let Some((picture, sources)) = bars(report.grammar, &group.heading, &group.rows) else {
            continue;
        };
        let caption = format!(
            "{}: measured, beside the usual range of adults where one is tabulated",
            group.heading
        );
        blocks.extend(figure(Some(picture), said.join(". "), &caption));
        usual.extend(sources.into_iter().map(|(name, usual)| {
            let Usual {
                from,
                to,
                source,
                status,
            } = usual;
            let heading = &group.heading;
            vec![Run::plain(format!(
                "{heading}, {name}: {from}° to {to}°. {source} ({status})."
            ))]
        }));
    }
    let mut places: Vec<(String, usize)> = Vec::new();
    for finding in all.clone() {
        let side = finding.side.map(|side| word_of(side) + " ").unwrap_or_default();
        let Some(joint) = &finding.joint else { continue };
        let place = format!("{side}{joint}");
        match places.iter_mut().find(|(known, _)| *known == place) {
            Some((_, count)) => *count += 1,
            None => places.push((place, 1)),
        }
    }
    let places: Vec<String> = places
        .into_iter()
        .map(|(place, count)| format!("{place}: {count}"))
        .collect();
    blocks.extend(figure(
        body(report.grammar, "", all),
        places.join("; "),
        "The number of findings at each place",
    ));
    if !usual.is_empty() {
        blocks.push(Block::paragraph(
            "Usual ranges are what handbooks tabulate for adults: sources differ, active is not passive, and none is a limit of what is normal.",
        ));
        blocks.push(Block::List(List {
            numbered: false,
            items: usual,
        }));
    }
    blocks
}

fn comparison(report: &Report<'_>) -> Vec<Block> {
    let compared = compare(
        report.grammar,
        &report.client.details,
        report.case,
        Some(report.visit.number),
    );
    let mut rows = Vec::new();
    let mut sources: Vec<String> = Vec::new();
    for one in &compared {
        let error = one.measurement_error.as_ref();
        let of_side = |side: &Option<crate::review::compare::Measured>| {
            let Some(side) = side else { return String::new() };
            let mut parts: Vec<String> = Vec::new();
            parts.extend(side.used.degrees.map(|degrees| format!("{degrees}°")));
            parts.extend(side.used.strength.as_ref().map(|grade| format!("grade {grade}")));
            parts.extend(side.used.pain_score.map(|score| format!("pain {score} of 10")));
            let changes = [&side.within_visit, &side.since_last, &side.since_first];
            parts.extend(changes.into_iter().flatten().map(|change| changed(change, error)));
            parts.join("\n")
        };
        let joint = one
            .joint
            .as_ref()
            .map(|joint| format!("{joint} "))
            .unwrap_or_default();
        let mut right = of_side(&one.right);
        if right.is_empty() {
            right = of_side(&one.no_side);
        }
        rows.push(vec![format!("{joint}{}", title(one)), of_side(&one.left), right]);
        if let Some(error) = error {
            let source = format!(
                "{joint}{}: SEM {}°, MDC95 {}° ({}, {}; {}). {} ({}).",
                title(one),
                error.sem,
                error.mdc95,
                error.of.by,
                error.of.tool,
                error.of.population,
                error.of.source,
                error.of.status
            );
            sources.push(source);
        }
    }
    if rows.is_empty() {
        return Vec::new();
    }
    let columns = vec![
        Column::new("examined"),
        Column::new("left"),
        Column::new("right, or no side"),
    ];
    let mut blocks = vec![Block::Table(Table {
        caption: String::new(),
        columns,
        row_headings: true,
        rows,
    })];
    if !sources.is_empty() {
        blocks.push(Block::paragraph("Measurement errors:"));
        blocks.push(Block::List(List {
            numbered: false,
            items: sources
                .into_iter()
                .map(|source| vec![Run::plain(source)])
                .collect(),
        }));
    }
    blocks
}

fn course(report: &Report<'_>) -> Vec<Block> {
    let until = report
        .case
        .visits
        .iter()
        .position(|visit| visit.number == report.visit.number)
        .map_or(&[][..], |at| &report.case.visits[..=at]);
    let mut blocks = Vec::new();
    for course in progress(report.grammar, until) {
        let rows: Vec<Vec<String>> = course
            .table
            .into_iter()
            .map(|(_, date, [left, right, no_side])| match course.no_side {
                true => vec![date, left, right, no_side],
                false => vec![date, left, right],
            })
            .collect();
        blocks.push(Block::Heading(Level::Three, course.title.clone()));
        let caption = [course.usual, course.error]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>();
        blocks.extend(figure(
            Some(course.picture),
            format!("{}; the table below holds the same.", course.title),
            &caption.join(" "),
        ));
        let mut columns = vec![
            Column::new("visit"),
            Column::of_numbers("left"),
            Column::of_numbers("right"),
        ];
        if course.no_side {
            columns.push(Column::of_numbers("no side"));
        }
        blocks.push(Block::Table(Table {
            caption: String::new(),
            columns,
            row_headings: true,
            rows,
        }));
    }
    blocks
}

/// What was changed or taken back after the visit was signed off.
fn amendments(report: &Report<'_>) -> Vec<Block> {
    let Some(signed) = &report.visit.signed else {
        return Vec::new();
    };
    let of_visit = |id: Option<i64>| report.visit.findings.iter().any(|kept| Some(kept.id) == id);
    let changed = report
        .history
        .iter()
        .filter(|done| done.at > *signed && (done.what == What::Corrected && of_visit(done.id)));
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
            vec![Run::plain(format!("{}{who}: {finding}.{why}", when(&done.at)))]
        })
        .collect();
    match items.is_empty() {
        true => Vec::new(),
        false => vec![Block::List(List {
            numbered: false,
            items,
        })],
    }
}
