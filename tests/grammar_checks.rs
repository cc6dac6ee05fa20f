//! `couchside grammar check`, check by check: each folder of `tests/errors` with a `check.txt` holds files that are put
//! into a copy of `grammars/`, and what the check named in its first line then says.

use std::fs;

use couchside::grammar::Source;
use couchside::grammar::check::{Check, Checked, check};

use super::grammar_errors::{copy, folders, root};

fn checked(folder: &std::path::Path) -> Vec<Checked> {
    let grammars = tempfile::tempdir().unwrap();
    copy(&root().join("grammars"), grammars.path());
    copy(folder, grammars.path());
    check(&Source::folder(grammars.path()).unwrap())
}

/// What a check found, as `check.txt` holds it.
fn told(checked: &[Checked], name: &str) -> String {
    let one = checked.iter().find(|one| one.check.name() == name);
    let faults = one.unwrap_or_else(|| panic!("no check {name}")).faults.as_ref();
    let faults = faults.unwrap_or_else(|| panic!("{name} was not made"));
    let faults: Vec<String> = faults.iter().map(|fault| fault.to_string()).collect();
    format!("{name}\n\n{}\n", faults.join("\n\n"))
}

#[test]
fn every_check_finds_its_fault() {
    let folders = folders("check.txt");
    assert!(folders.len() >= 13, "{} folders", folders.len());
    for folder in folders {
        let expected = fs::read_to_string(folder.join("check.txt")).unwrap();
        let name = expected.lines().next().unwrap();
        assert_eq!(told(&checked(&folder), name), expected, "{}", folder.display());
    }
}

#[test]
fn what_stops_loading_is_told_under_its_check_and_the_others_wait() {
    let cases = [
        ("not-toml", Check::Readable),
        ("unknown-kind-of-number", Check::NumberKnown),
        ("too-many-sentences", Check::NotTooWide),
        ("said-two-ways", Check::OneMeaning),
        ("one-wording-two-movements", Check::OneMeaning),
        ("reach-the-wrong-way", Check::Reach),
        ("unknown-trick", Check::TricksAreSigns),
        ("speaks-a-command", Check::SpeaksNoControl),
        ("part-left-out-of-order", Check::ReadbackWhole),
    ];
    for (folder, found) in cases {
        let checked = checked(&root().join("tests/errors").join(folder));
        let made: Vec<(Check, usize)> = checked
            .iter()
            .filter_map(|one| Some((one.check, one.faults.as_ref()?.len())))
            .collect();
        assert_eq!(made, [(found, 1)], "{folder}");
    }
}

#[test]
fn nothing_is_wrong_with_the_grammar_that_the_program_carries() {
    let checked = check(&Source::carried());
    assert_eq!(checked.len(), Check::ALL.len());
    for one in checked {
        let faults = one.faults.expect("every check is made");
        let faults: Vec<String> = faults.iter().map(|fault| fault.to_string()).collect();
        assert!(
            faults.is_empty(),
            "{}:\n{}",
            one.check.name(),
            faults.join("\n\n")
        );
    }
}
