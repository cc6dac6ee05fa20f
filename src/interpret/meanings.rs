//! Words that can mean two things mean what leaves nothing open: every choice is read, and the best is taken.

use crate::finding::Finding;
use crate::grammar::fragment::{Fill, Slot};

use super::cover::Part;
use super::resolve::{self, Resolved};
use super::{Interpreter, split};

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
