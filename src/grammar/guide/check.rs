//! Everything that the guide tells people to say is understood.

use crate::interpret::fills;

use super::super::check::Check;
use super::super::error::GrammarError;
use super::super::{Grammar, Source};
use super::FILE;
use super::file::GuideFile;
use super::values::values;

/// A fault for each thing that the guide tells people to say and that is not understood.
pub(in super::super) fn check(source: &Source, grammar: &Grammar) -> Vec<GrammarError> {
    let guide: GuideFile = match source.read(FILE) {
        Ok(guide) => guide,
        Err(fault) => return vec![fault],
    };
    let fault = |at, message, remedy| {
        GrammarError::at(FILE, source.text(FILE), at, message, remedy).found_by(Check::GuideUnderstood)
    };
    let mut faults = Vec::new();
    for block in &guide.block {
        for say in block.say.iter().chain(block.each.iter().map(|each| &each.say)) {
            let read = fills(grammar, say.as_ref());
            if read.is_empty() || read.iter().any(Option::is_none) {
                let message = format!("the guide says `{}`, which is not understood", say.as_ref());
                faults.push(fault(
                    say.span().start,
                    message,
                    "correct it, or add the wording to the grammar",
                ));
            }
        }
        for slot in &block.slots {
            if values(grammar, slot.as_ref()).is_empty() {
                let message = format!("there is nothing to say for `{}`", slot.as_ref());
                faults.push(fault(
                    slot.span().start,
                    message,
                    "`grammars/README.md` lists the slots",
                ));
            }
        }
    }
    faults
}
