//! The comparison, to be read.

use super::{Change, Compared, Difference, Error, Measured};
use crate::finding::word_of;
use crate::review::day;
use crate::review::rows::capital;

/// All of it; the sources stand once, at the end.
pub fn compare_text(compared: &[Compared]) -> String {
    let Some(first) = compared.first() else {
        return "Nothing that can be compared was measured.\n".to_owned();
    };
    let mut text = format!(
        "{}, visit {} of {}\n",
        first.client,
        first.visit,
        day(&first.date)
    );
    let mut sources: Vec<String> = Vec::new();
    let mut joint = None;
    for one in compared {
        let heading = one.joint.clone().unwrap_or_else(|| "muscles".to_owned());
        if joint.as_ref() != Some(&heading) {
            text += &format!("\n{}\n", capital(&heading));
            joint = Some(heading);
        }
        text += &format!("  {}\n", title(one));
        for (side, measured) in sides(one) {
            for line in lines(measured, one.measurement_error.as_ref()) {
                text += &format!("    {side}{line}\n");
            }
        }
        if let Some(line) = one.difference.as_ref().map(against) {
            text += &format!("    {line}\n");
        }
        for (line, source) in facts(one) {
            let number = sources
                .iter()
                .position(|known| *known == source)
                .unwrap_or_else(|| {
                    sources.push(source);
                    sources.len() - 1
                });
            text += &format!("    {line} [{}]\n", number + 1);
        }
    }
    if !sources.is_empty() {
        text += "\nSources. They differ from each other, active is not passive, and none is a limit of what is normal.\n";
        for (number, source) in sources.iter().enumerate() {
            text += &format!("  [{}] {source}\n", number + 1);
        }
    }
    text
}

/// "internal rotation, passive".
pub fn title(one: &Compared) -> String {
    let name = one.movement.as_ref().or(one.muscle.as_ref());
    let mode = one.mode.map(word_of);
    let parts = name.cloned().into_iter().chain(mode).chain(one.position.clone());
    parts.collect::<Vec<_>>().join(", ")
}

/// The sides that were measured, each with the word before its line.
fn sides(one: &Compared) -> impl Iterator<Item = (&'static str, &Measured)> {
    [
        ("left   ", &one.left),
        ("right  ", &one.right),
        ("", &one.no_side),
    ]
    .into_iter()
    .filter_map(|(side, measured)| Some((side, measured.as_ref()?)))
}

/// What was measured of a side, and a line for each change.
pub fn lines(measured: &Measured, error: Option<&Error>) -> Vec<String> {
    let used = &measured.used;
    let mut parts: Vec<String> = Vec::new();
    parts.extend(used.degrees.map(|degrees| format!("{degrees}°")));
    parts.extend(used.strength.as_ref().map(|grade| format!("grade {grade}")));
    parts.extend(used.pain_score.map(|score| format!("pain {score} out of 10")));
    if !measured.trials.is_empty() {
        let trials = measured.trials.iter().filter_map(|trial| trial.degrees);
        let trials: Vec<String> = trials.map(|degrees| format!("{degrees}°")).collect();
        if trials.len() > 1 {
            parts.push(format!("of {}: the last is used", trials.join(", ")));
        }
    }
    parts.extend(
        measured
            .passive_minus_active
            .map(|more| format!("{} passive than active", more_or_less(more, "°"))),
    );
    let mut lines = vec![parts.join("; ")];
    for change in [
        &measured.within_visit,
        &measured.since_last,
        &measured.since_first,
    ]
    .into_iter()
    .flatten()
    {
        lines.push(changed(change, error));
    }
    lines
}

/// "since visit 2 of 1 August 2026: 10° more (from 20°), beyond measurement error".
fn changed(change: &Change, error: Option<&Error>) -> String {
    let since = match &change.was {
        Some(was) => format!("since visit {} of {}", was.visit, day(&was.date)),
        None => "tested again in this visit".to_owned(),
    };
    let mut parts = Vec::new();
    if let Some(step) = change.degrees {
        let beyond = match (change.beyond_measurement_error, error) {
            (Some(true), _) => "beyond measurement error",
            (Some(false), _) => "within measurement error",
            (None, _) => "measurement error not known",
        };
        parts.push(format!(
            "{} (from {}°), {beyond}",
            more_or_less(step.change, "°"),
            step.before
        ));
    }
    parts.extend(
        change
            .pain_score
            .map(|step| format!("pain {} (from {})", more_or_less(step.change, ""), step.before)),
    );
    parts.extend(
        change
            .strength_before
            .as_ref()
            .map(|grade| format!("grade {grade} then")),
    );
    format!("{since}: {}", parts.join("; "))
}

/// "left 15° less than right: 43 %, symmetry index 57 %".
fn against(difference: &Difference) -> String {
    let Some(less) = difference.less else {
        return "left and right the same".to_owned();
    };
    let other = less.opposite().map(word_of).unwrap_or_default();
    let mut text = format!(
        "{} {}° less than {other}",
        word_of(less),
        difference.degrees.abs()
    );
    if let (Some(percent), Some(index)) = (difference.percent, difference.symmetry_index) {
        text += &format!(": {percent:.0} % less, symmetry index {index:.0} %");
    }
    text
}

/// What is known of it, each with its source.
pub fn facts(one: &Compared) -> Vec<(String, String)> {
    let mut facts = Vec::new();
    if let Some(error) = &one.measurement_error {
        facts.push((
            format!(
                "measurement error: SEM {}°, MDC95 {}° ({}, {}; {})",
                error.sem, error.mdc95, error.of.by, error.of.tool, error.of.population
            ),
            format!("{} ({})", error.of.source, error.of.status),
        ));
    }
    if let Some(pain) = &one.pain_change {
        facts.push((
            format!("a change of pain: {} points ({})", pain.change, pain.population),
            format!("{} ({})", pain.source, pain.status),
        ));
    }
    if let Some(usual) = &one.usual {
        facts.push((
            format!("usual range of adults: {}° to {}°", usual.from, usual.to),
            format!("{} ({})", usual.source, usual.status),
        ));
    }
    for norm in &one.norms {
        let what = if norm.median { "median" } else { "mean" };
        let who = [
            norm.sex.map(word_of),
            norm.age.map(|ages| match (ages.from, ages.to) {
                (Some(from), Some(to)) => format!("{from} to {to} years"),
                (Some(from), None) => format!("from {from} years on"),
                (None, Some(to)) => format!("up to {to} years"),
                (None, None) => String::new(),
            }),
            norm.mode.is_none().then(|| "mode not said".to_owned()),
            norm.spread.clone(),
            norm.n.map(|n| format!("{n} people")),
        ];
        let who: Vec<String> = who
            .into_iter()
            .flatten()
            .filter(|part| !part.is_empty())
            .collect();
        facts.push((
            format!("{what} in a study: {}° ({})", norm.mean, who.join(", ")),
            format!("{} ({})", norm.source, norm.status),
        ));
    }
    facts
}

fn more_or_less(change: i32, unit: &str) -> String {
    match change {
        0 => "the same".to_owned(),
        1.. => format!("{change}{unit} more"),
        _ => format!("{}{unit} less", -change),
    }
}
