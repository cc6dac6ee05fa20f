//! Words that can mean two things mean what leaves nothing open: every choice is read, and the best is taken.

use crate::finding::{Finding, Side};
use crate::grammar::fragment::{Fill, Slot};

use super::cover::Part;
use super::resolve::{self, Resolved};
use super::{Interpreter, differ, split};

impl Interpreter {
    pub(super) fn findings(&self, parts: &[Part], words: &[String]) -> Result<Resolved, String> {
        let mut best: Result<Resolved, String> = Err(String::new());
        let meanings = meanings(parts);
        for (meaning, named_after) in meanings.iter().flat_map(|parts| [(parts, false), (parts, true)]) {
            let found = self.findings_of(meaning, words, named_after);
            let better = match (&found, &best) {
                (Ok(found), Ok(best)) => open_places(&found.findings) < open_places(&best.findings),
                (Ok(_), Err(_)) => true,
                (Err(_), Ok(_)) => false,
                (Err(_), Err(best)) => best.is_empty(),
            };
            if better {
                best = found;
            }
        }
        if let (Some(side), Ok(best)) = (side_between(parts), &mut best) {
            doubt_side(&mut best.findings, side, self.context.side);
        }
        best
    }

    fn findings_of(&self, parts: &[Part], words: &[String], named_after: bool) -> Result<Resolved, String> {
        let mut context = self.context.clone();
        let mut all = Resolved::default();
        for draft in split::split(parts, named_after)? {
            let resolved = resolve::resolve(&self.grammar, &draft, words, &context)?;
            resolved
                .findings
                .iter()
                .for_each(|finding| context.follow(finding));
            all.findings.extend(resolved.findings);
            all.from = resolved.from.or(all.from);
        }
        Ok(all)
    }
}

/// "Thigh thrust positive left Gaenslen negative": the first side that is said stands between the results of one thing and the
/// name of the next, and may belong to either.
fn side_between(parts: &[Part]) -> Option<Side> {
    let at = parts.iter().position(|part| part.slot() == Slot::Side)?;
    let Some(Fill::Side(side @ (Side::Left | Side::Right))) = parts[at].fill else {
        return None;
    };
    let named = parts[..at].iter().filter(|part| part.slot().is_subject()).count();
    let found = at > 0 && parts[at - 1].slot().is_result();
    // A comma tells to which.
    let next = parts
        .get(at + 1)
        .is_some_and(|part| part.slot().is_subject() && !part.marked);
    (named == 1 && found && next && !parts[at].marked).then_some(side)
}

/// The first finding is of `said` or of the side that carries over: that is asked.
fn doubt_side(findings: &mut [Finding], said: Side, carried: Option<Side>) {
    let (Some(carried), [first, _, ..]) = (carried, findings) else {
        return;
    };
    let other = if first.side == Some(said) { carried } else { said };
    if first.side.is_some() {
        let of_other = Finding {
            side: Some(other),
            ..first.clone()
        };
        differ(std::slice::from_mut(first), &[of_other]);
    }
}

/// How much is left open.
fn open_places(findings: &[Finding]) -> usize {
    let open = |finding: &Finding| finding.missing.len() + finding.doubts.len();
    findings.iter().map(open).sum()
}

/// Most meanings of one utterance that are weighed.
const MOST_MEANINGS: usize = 16;

/// Every choice among what the words can mean, a result of a named test first.
fn meanings(parts: &[Part]) -> Vec<Vec<Part>> {
    let graded = parts.iter().any(|part| part.slot() == Slot::Strength);
    let measured = parts
        .iter()
        .any(|part| matches!(part.fill, Some(Fill::Measure(_))));
    let mut all = vec![Vec::new()];
    for (at, part) in parts.iter().enumerate() {
        let mut fills: Vec<&Fill> = part.fill.iter().chain(&part.or).collect();
        // "Apprehension positive" is the test, "with apprehension" the sign.
        let mut next = parts[at + 1..].iter().map(Part::slot);
        let has_result = next.find(|slot| slot.is_subject() || slot.is_result()) == Some(Slot::Result);
        // A grade is one of a muscle rather than of a test of the same name, anything else one of the test.
        fills.sort_by_key(|fill| match fill {
            Fill::ResultOf(_) => 0,
            Fill::Test(_) if has_result => 0,
            // "Left calf thirty eight centimetres": nobody measures a muscle so.
            Fill::Girth(_) if measured => 0,
            Fill::Muscle { .. } if graded => 1,
            Fill::Muscle { .. } => 3,
            // A limb without the word girth, which is measured only where the number can be nothing else.
            Fill::Girth(_) => 4,
            _ => 2,
        });
        if all.len() * fills.len() > MOST_MEANINGS {
            fills.truncate(1);
        }
        let said = |fill: &Fill| Part {
            fill: Some(fill.clone()),
            ..part.clone()
        };
        let longer = |before: &Vec<Part>| {
            let parts: Vec<Part> = fills.iter().map(|fill| said(fill)).collect();
            parts
                .into_iter()
                .map(|part| [before.clone(), vec![part]].concat())
                .collect::<Vec<_>>()
        };
        all = all.iter().flat_map(longer).collect();
    }
    all
}
