//! Names that are no finding of their own but say something of the one before: a trick movement, a place that hurts.

use crate::grammar::Grammar;
use crate::grammar::fragment::{Fill, Slot};

use super::cover::Part;
use super::every_fill;
use super::reckon::fill_in_each;

/// A word that makes a trick movement of the movement named after it.
const WITH: &str = "with";

/// "With hip hitching and lumbar flexion": a movement named after a sign, with nothing found of it, is one more sign. So is
/// what else is seen while something moves: "scaption one fifty with scapular winging".
pub fn tricks(grammar: &Grammar, words: &[String], parts: &[Part]) -> Vec<Part> {
    let mut parts = parts.to_vec();
    for at in 1..parts.len() {
        let moves = parts[..at].iter().any(|part| part.slot() == Slot::Movement);
        if let Some(Fill::Observation(seen)) = &parts[at].fill
            && moves
            && words[parts[at].span.0] == WITH
        {
            parts[at].fill = Some(Fill::Sign(seen.clone()));
        }
    }
    for at in 2..parts.len() {
        let joined = parts[at - 1].slot() == Slot::None && parts[at - 1].fill.is_some();
        let goes_on = parts
            .get(at + 1)
            .is_none_or(|next| next.slot() == Slot::None || matches!(next.fill, Some(Fill::Sign(_))));
        let named = matches!(parts[at].fill, Some(Fill::Movement(_)));
        // The only movement named is what the finding is about.
        let of = parts[..at].iter().any(|part| part.slot() == Slot::Movement);
        if !(of && joined && named && goes_on && parts[at - 2].slot() == Slot::Sign) {
            continue;
        }
        let (from, to) = parts[at].span;
        let trick = format!("{WITH} {}", words[from..to].join(" "));
        if let [sign @ Fill::Sign(_)] = every_fill(grammar, &trick).as_slice() {
            parts[at].fill = Some(sign.clone());
            parts[at].or.clear();
        }
    }
    parts
}

/// "Active one fifty, clicking at ninety", "clicking mid range": a number or a part of the range right after a sign is
/// where the sign was, unless pain follows, which it is then of.
pub fn placed_signs(named: &[Part]) -> Vec<Part> {
    let mut parts: Vec<Part> = Vec::new();
    for (at, part) in named.iter().enumerate() {
        let of_pain = named.get(at + 1).is_some_and(|next| {
            next.span.0 == part.span.1 && matches!(next.slot(), Slot::PainFelt | Slot::PainScore)
        });
        let place = match &part.fill {
            Some(Fill::PainWhen(when)) if !of_pain => Some(when.clone()),
            _ => part.place.as_ref().map(|place| fill_in_each(place, &part.values)),
        };
        match (parts.last_mut(), place) {
            (
                Some(Part {
                    fill: Some(Fill::Sign(sign)),
                    span,
                    ..
                }),
                Some(place),
            ) if span.1 == part.span.0 => {
                *sign = format!("{sign} {place}");
                span.1 = part.span.1;
            }
            _ => parts.push(part.clone()),
        }
    }
    parts
}

/// "Inversion thirty painful over the lateral malleolus": a structure named after what was found, with a word of place
/// before it and nothing found on it, is where that was.
pub fn places(grammar: &Grammar, words: &[String], parts: &[Part]) -> Vec<Part> {
    let mut parts = parts.to_vec();
    for at in 1..parts.len() {
        let found = match parts[at - 1].fill {
            Some(Fill::PainFelt(felt) | Fill::Tender(felt)) => felt,
            Some(Fill::PainScore | Fill::Result(_) | Fill::PainSign(_)) => true,
            _ => false,
        };
        let of = parts[..at].iter().any(|part| part.slot().is_subject());
        // A score after the place is still that of the pain before it.
        let nothing_on_it = parts
            .get(at + 1)
            .is_none_or(|next| !next.slot().is_result() || next.slot() == Slot::PainScore);
        let (from, to) = parts[at].span;
        if !(found && of && nothing_on_it && matches!(parts[at].fill, Some(Fill::Structure(_)))) {
            continue;
        }
        let bare = every_fill(grammar, &words[from + 1..to].join(" "));
        if bare.first() == parts[at].fill.as_ref() {
            parts[at].fill = Some(Fill::Sign(words[from..to].join(" ")));
            parts[at].or.clear();
        }
    }
    parts
}
