//! The findings of a visit, drawn.

use super::Report;
use super::parts::list;
use crate::finding::word_of;
use crate::grammar::Usual;
use crate::review::document::{Block, Drawing, Figure, Run};
use crate::review::draw::{bars, body};
use crate::review::fields;
use crate::review::rows::groups;

/// A picture with the same in words, if it can be read.
pub fn figure(svg: Option<String>, text: String, caption: &str) -> Option<Block> {
    let drawing = Drawing::from_svg(&svg?).ok()?;
    Some(Block::Figure(Figure {
        drawing,
        text,
        caption: caption.to_owned(),
    }))
}

/// Bars beside the usual range for each joint, and the outline of a body.
pub fn pictures(report: &Report<'_>) -> Vec<Block> {
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
        body(report.grammar, |_, _| String::new(), all),
        places.join("; "),
        "The number of findings at each place",
    ));
    if !usual.is_empty() {
        blocks.push(Block::paragraph(
            "Usual ranges are what handbooks tabulate for adults: sources differ, active is not passive, and none is a limit of what is normal.",
        ));
        blocks.extend(list(usual));
    }
    blocks
}
