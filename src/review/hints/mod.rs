//! What textbooks associate with the findings of a visit: what was seen, what goes with it, how little is proven, and the source. Never a
//! diagnosis, and shown only to those who ask.

mod pattern;

use crate::finding::{Finding, Mode};
use crate::grammar::Grammar;
use crate::readback::written;
use crate::record::Visit;

/// One hint.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hint {
    /// What was seen, and what is associated with it.
    pub says: String,
    /// The source, and whether it was seen.
    pub source: String,
}

impl Hint {
    fn new(seen: &str, says: &str, source: &str, status: &str) -> Hint {
        Hint {
            says: format!("{seen} {says}"),
            source: format!("{source} ({status})"),
        }
    }
}

/// The hints that go with a visit, and the one about all of them last; none if there are none.
pub fn hints(grammar: &Grammar, visit: &Visit) -> Vec<Hint> {
    let facts = &grammar.facts.hints;
    let findings: Vec<&Finding> = visit.findings.iter().map(|kept| &kept.finding).collect();
    let mut hints = Vec::new();
    for finding in &findings {
        hints.extend(resisted(grammar, finding));
        hints.extend(end_feel(grammar, finding));
        hints.extend(both_painful(grammar, finding, &findings));
    }
    hints.extend(pattern::patterns(grammar, &findings));
    if !hints.is_empty() {
        let all = &facts.weak_evidence;
        hints.push(Hint::new("", &all.says, &all.source, &all.status));
    }
    for hint in &mut hints {
        hint.says = hint.says.trim().to_owned();
    }
    hints
}

fn resisted(grammar: &Grammar, finding: &Finding) -> Option<Hint> {
    let painful = finding.pain.as_ref()?.felt;
    if finding.mode != Some(Mode::Resisted) {
        return None;
    }
    let reading = grammar.facts.hints.resisted.iter().find(|one| {
        let power = finding
            .power
            .as_ref()
            .is_some_and(|power| one.power.contains(power));
        let grade = finding
            .strength
            .as_ref()
            .is_some_and(|grade| one.grades.contains(grade));
        one.painful == painful && (power || grade)
    })?;
    Some(Hint::new(
        &written(grammar, finding),
        &reading.says,
        &reading.source,
        &reading.status,
    ))
}

fn end_feel(grammar: &Grammar, finding: &Finding) -> Option<Hint> {
    let felt = finding.end_feel.as_ref()?;
    let usual = grammar.facts.hints.end_feel.iter().find(|one| {
        Some(&one.joint) == finding.joint.as_ref() && Some(&one.movement) == finding.movement.as_ref()
    })?;
    (!usual.usual.contains(felt)).then(|| {
        let says = format!("Usual for this movement: {}.", usual.usual.join(" or "));
        Hint::new(&written(grammar, finding), &says, &usual.source, &usual.status)
    })
}

/// Told with the passive one of the two.
fn both_painful(grammar: &Grammar, finding: &Finding, all: &[&Finding]) -> Option<Hint> {
    let hurts = |finding: &Finding| finding.pain.as_ref().is_some_and(|pain| pain.felt);
    let same = |other: &&&Finding| {
        other.mode == Some(Mode::Active)
            && (&other.joint, &other.movement, other.side)
                == (&finding.joint, &finding.movement, finding.side)
            && hurts(other)
    };
    let passive = finding.mode == Some(Mode::Passive) && finding.movement.is_some() && hurts(finding);
    let active = all.iter().find(same).filter(|_| passive)?;
    let said = &grammar.facts.hints.both_painful;
    let seen = format!("{} {}", written(grammar, active), written(grammar, finding));
    Some(Hint::new(&seen, &said.says, &said.source, &said.status))
}
