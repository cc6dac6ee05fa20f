//! The grammar, checked as a whole: what loading cannot see because it takes every file, or sentences, to see it.

mod examples;
mod lists;
mod name;
mod place;
mod pronounced;
mod readback;
mod wordings;

use std::sync::Arc;

pub use name::Check;

use super::error::GrammarError;
use super::{Grammar, Source};

/// Checks that look at the example files.
const NEED_EXAMPLES: [Check; 6] = [
    Check::ReadbackWhole,
    Check::NoOverlap,
    Check::TalkIsNotDictation,
    Check::ExamplesRead,
    Check::EveryValueHasAnExample,
    Check::CounterExamplesLeftAlone,
];

/// What one check found.
#[derive(Debug)]
pub struct Checked {
    pub check: Check,
    /// `None`: it could not be made, because an earlier fault is in the way.
    pub faults: Option<Vec<GrammarError>>,
}

/// Makes every check. A grammar that can't be loaded is not looked at any further.
pub fn check(source: &Source) -> Vec<Checked> {
    let grammar = match Grammar::load(source) {
        Ok(grammar) => Arc::new(grammar),
        Err(fault) => return not_loaded(fault),
    };
    let mut faults = Vec::new();
    let mut without_examples = false;
    match examples::ExampleFiles::read(source) {
        Ok(files) => {
            wordings::overlaps(source, &grammar, &files, &mut faults);
            wordings::talk(source, &grammar, &files, &mut faults);
            let read = examples::read_each(source, &grammar, &files, &mut faults);
            readback::whole(source, &grammar, &read, &mut faults);
            examples::values(source, &grammar, &read, &mut faults);
            examples::counter_examples(source, &grammar, &files, &mut faults);
        }
        Err(fault) => {
            faults.push(fault);
            without_examples = true;
        }
    }
    wordings::sounds_alike(source, &grammar, &mut faults);
    pronounced::every_word(source, &grammar, &mut faults);
    readback::names(source, &grammar, &mut faults);
    faults.extend(super::guide::check(source, &grammar));
    lists::used(source, &mut faults);
    let mut checked: Vec<Checked> = Check::ALL
        .into_iter()
        .map(|check| Checked {
            check,
            faults: (!without_examples || !NEED_EXAMPLES.contains(&check)).then(Vec::new),
        })
        .collect();
    for fault in faults {
        let place = checked.iter_mut().find(|one| one.check == fault.check());
        if let Some(found) = place.and_then(|one| one.faults.as_mut()) {
            found.push(fault);
        }
    }
    checked
}

/// Loading stops at the first fault, and the checks after it would look at half a grammar.
fn not_loaded(fault: GrammarError) -> Vec<Checked> {
    let found = fault.check();
    let mut fault = Some(fault);
    Check::ALL
        .into_iter()
        .map(|check| Checked {
            check,
            faults: (check == found).then(|| fault.take().into_iter().collect()),
        })
        .collect()
}
