//! A finding's fields as short text, for a line or a cell.

use crate::finding::{Degrees, Finding, Pain, word_of};

/// The finding in one line: what was examined, then what was found.
pub fn fields(finding: &Finding) -> String {
    let named = [
        finding.side.map(word_of),
        finding.joint.as_deref().map(plain),
        finding.movement.as_deref().map(plain),
        finding.muscle.as_deref().map(plain),
        finding.test.as_deref().map(plain),
        finding.structure.as_deref().map(plain),
        finding.mode.map(word_of),
    ];
    let found = [
        finding.degrees.as_ref().map(degrees),
        finding
            .range
            .as_deref()
            .map(|range| format!("{} range", plain(range))),
        finding
            .strength
            .as_deref()
            .map(|grade| format!("strength {}", plain(grade))),
        finding.power.as_deref().map(plain),
        finding
            .end_feel
            .as_deref()
            .map(|end_feel| format!("{} end feel", plain(end_feel))),
        finding.pain.as_ref().map(|felt| match felt.felt {
            false => "no pain".to_owned(),
            true => match pain(felt).strip_prefix("yes") {
                Some(rest) => format!("painful{rest}"),
                None => format!("pain {}", pain(felt)),
            },
        }),
        (!finding.signs.is_empty()).then(|| plain(&finding.signs.join(", "))),
        finding.text.as_deref().map(plain),
    ];
    let named = named.into_iter().flatten().collect::<Vec<_>>().join(" ");
    let found = found.into_iter().flatten().collect::<Vec<_>>().join(", ");
    match (named.is_empty(), found.is_empty()) {
        (false, false) => format!("{named}: {found}"),
        (true, false) => format!("{}: {found}", word_of(finding.kind)),
        _ => named,
    }
}

pub(super) fn degrees(degrees: &Degrees) -> String {
    match degrees.from {
        Some(from) => format!("{from}° to {}°", degrees.to),
        None => format!("{}°", degrees.to),
    }
}

pub(super) fn pain(pain: &Pain) -> String {
    if !pain.felt {
        return "none".to_owned();
    }
    let mut parts = vec![
        pain.score
            .map_or_else(|| "yes".to_owned(), |score| format!("{score} out of 10")),
    ];
    parts.extend(pain.when.as_deref().map(plain));
    parts.extend(
        pain.arc
            .as_ref()
            .map(|arc| format!("arc {}° to {}°", arc.from, arc.to)),
    );
    parts.join(", ")
}

/// Dictated text could hold what a terminal takes for a command; it is shown as a space.
pub(super) fn plain(text: &str) -> String {
    text.replace(char::is_control, " ")
}
