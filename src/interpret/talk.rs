//! Talk whose every word the grammar knows, told from dictation.

use crate::grammar::Grammar;
use crate::grammar::fragment::{Fill, Slot};

use super::context::Context;
use super::cover::Part;

/// Different places named that make an utterance dictation; one fewer if the mode is among them, which clients are
/// never told.
const TRADE_PLACES: usize = 4;

/// So many words of talk make an utterance talk, whatever else is in it.
pub const MOST_TALK: usize = 2;

/// Words that the grammar does not know where they stand are, often enough, words of people talking.
pub fn is_spoken(grammar: &Grammar, words: &[String], parts: &[Part]) -> bool {
    let unknown = parts.iter().filter(|part| part.fill.is_none());
    let talk = unknown.filter(|part| grammar.talk.contains(&words[part.span.0]));
    talk.count() >= MOST_TALK
}

/// A saying of the grammar's list, or a question: "is the left knee painful".
pub fn is_saying(grammar: &Grammar, words: &[String], parts: &[Part]) -> bool {
    let asks = words.first().is_some_and(|word| grammar.questions.contains(word))
        && parts.first().is_some_and(|part| part.slot() == Slot::None)
        && parts
            .iter()
            .find(|part| part.slot() != Slot::None)
            .is_some_and(|part| part.slot().is_context());
    asks || grammar.sayings.contains(words)
}

/// A part of the body, which people name to each other as well.
pub fn is_place(part: &Part) -> bool {
    matches!(part.slot(), Slot::Side | Slot::Joint)
}

/// Too little to be dictation: nothing, or one place named and nothing found that people say to each other as well,
/// unless it answers a question or changes what is being examined.
pub fn is_only_a_word(context: &Context, parts: &[Part]) -> bool {
    let [only] = parts else { return parts.is_empty() };
    if context.last.as_ref().is_some_and(|last| !last.is_settled()) {
        return false;
    }
    let nothing_before = context.is_empty();
    match &only.fill {
        Some(Fill::Side(side)) => nothing_before || context.side == Some(*side),
        Some(Fill::Mode(_)) => context.movement.is_none(),
        Some(
            Fill::OtherSide
            | Fill::Joint(_)
            | Fill::Copy
            | Fill::CopyEndFeel
            | Fill::PainWhen(_)
            | Fill::As(_),
        ) => true,
        Some(Fill::Level(_) | Fill::LevelAt(_)) => true,
        Some(Fill::Position(_)) => context.movement.is_none(),
        Some(Fill::LocalSign(_)) => only.span.1 - only.span.0 == 1,
        Some(Fill::Muscle { .. } | Fill::Test(_) | Fill::Structure(_) | Fill::Girth(_)) => true,
        Some(Fill::Number | Fill::About(_) | Fill::PainFelt(_) | Fill::Tender(_)) => nothing_before,
        Some(_) => nothing_before && only.slot().is_result() && only.span.1 - only.span.0 == 1,
        None => false,
    }
}

/// So many places of a finding are named that nobody would say it to a client, whatever else is in it.
pub fn speaks_the_trade(parts: &[Part]) -> bool {
    let mut slots: Vec<u8> = parts.iter().map(|part| part.slot() as u8).collect();
    slots.sort_unstable();
    slots.dedup();
    slots.len() >= TRADE_PLACES || (slots.len() + 1 >= TRADE_PLACES && slots.contains(&(Slot::Mode as u8)))
}
