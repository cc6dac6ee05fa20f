//! Wordings that get in each other's way.

use std::collections::BTreeSet;

use super::super::automaton::Step;
use super::super::error::GrammarError;
use super::super::file::SoundsAlike;
use super::super::fragment::Fill;
use super::super::{Grammar, Source};
use super::examples::{Allowed, ExampleFiles};
use super::{Check, place};

/// A wording with a meaning in two places, unless it is listed as meant so.
pub(super) fn overlaps(
    source: &Source,
    grammar: &Grammar,
    files: &ExampleFiles,
    faults: &mut Vec<GrammarError>,
) {
    let mut met = BTreeSet::new();
    grammar.automaton.wordings(|steps, ids| {
        let mut slots: Vec<String> = ids
            .iter()
            // What counts with its result only is told by that.
            .filter(|&&id| !grammar.automaton.fragment(id).with_result)
            .map(|&id| grammar.automaton.fragment(id).fill.slot().name().to_string())
            .collect();
        slots.sort();
        slots.dedup();
        if slots.len() < 2 {
            return;
        }
        let sentence = grammar.written(steps);
        let listed = files
            .overlaps
            .iter()
            .position(|allowed| allowed.covers(&sentence));
        if let Some(listed) = listed {
            met.insert(listed);
            return;
        }
        faults.push(place::fault(
            source,
            Check::NoOverlap,
            &sentence,
            format!("`{sentence}` is said of the {}", slots.join(" and of the ")),
            "take it out of one of them; if both are meant, list it under [[overlap]] in examples.toml",
        ));
    });
    unneeded(source, &files.overlaps, &met, Check::NoOverlap, faults);
}

/// A word that marks talk and is also a wording on its own, unless it is listed as meant so.
pub(super) fn talk(source: &Source, grammar: &Grammar, files: &ExampleFiles, faults: &mut Vec<GrammarError>) {
    let mut met = BTreeSet::new();
    let mut words: Vec<&String> = grammar.talk.iter().collect();
    words.sort();
    for word in words {
        let Some(number) = grammar.lexicon.number(word) else {
            continue;
        };
        let ids = grammar.automaton.meaning(&[Step::Word(number)]);
        let dictated = ids
            .iter()
            .map(|&id| (id, grammar.automaton.fragment(id)))
            .find(|(_, fragment)| !fragment.with_result && !matches!(fragment.fill, Fill::Filler { .. }));
        let Some((id, _)) = dictated else { continue };
        if let Some(listed) = files.talk.iter().position(|allowed| allowed.covers(word)) {
            met.insert(listed);
            continue;
        }
        let slot = grammar.automaton.fragment(id).fill.slot().name();
        faults.push(place::fault(
            source,
            Check::TalkIsNotDictation,
            word,
            format!(
                "`{word}` is a word of talk and also the {slot} `{}`",
                grammar.names[id as usize]
            ),
            "take it out of one of them; if both are meant, list it under [[talk]] in examples.toml",
        ));
    }
    unneeded(source, &files.talk, &met, Check::TalkIsNotDictation, faults);
}

/// What was listed as meant so and is not so is a slip of the list.
fn unneeded(
    source: &Source,
    listed: &[Allowed],
    met: &BTreeSet<usize>,
    check: Check,
    faults: &mut Vec<GrammarError>,
) {
    for (number, allowed) in listed.iter().enumerate() {
        if !met.contains(&number) {
            let say = &allowed.say;
            let fault = GrammarError::at(
                &allowed.file,
                source.text(&allowed.file),
                say.span().start,
                format!("`{}` is listed here for nothing", say.as_ref()),
                "take the entry out: the two meanings are no longer there",
            );
            faults.push(fault.found_by(check));
        }
    }
}

/// A word that is said to sound like another must be one that can be heard.
pub(super) fn sounds_alike(source: &Source, grammar: &Grammar, faults: &mut Vec<GrammarError>) {
    let file = "sounds-alike.toml";
    // It was read when the grammar was loaded.
    let Ok(alike) = source.read::<SoundsAlike>(file) else {
        return;
    };
    let entries = place::texts(source.text(file));
    for pair in &alike.pair {
        let span = pair.words.span();
        for word in pair.words.as_ref() {
            let known = word
                .split(' ')
                .all(|word| grammar.lexicon.number(&word.to_lowercase()).is_some());
            if known {
                continue;
            }
            let at = entries
                .iter()
                .find(|(_, text, at)| text == word && span.contains(at))
                .map_or(span.start, |(.., at)| *at);
            let fault = GrammarError::at(
                file,
                source.text(file),
                at,
                format!("no wording holds `{word}`, so it can't be mistaken for another word"),
                "correct it, or take the pair out",
            );
            faults.push(fault.found_by(Check::SoundsAlikeKnown));
        }
    }
}
