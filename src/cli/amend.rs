//! `couchside amend`: a recorded finding is changed or taken back by hand, with the same care as by voice: it is said back, and
//! nothing is written unless that is confirmed.

use std::io::{BufRead, stdin};

use clap::Args;

use super::{grammar, output, record_of_therapist};
use crate::error::{Error, Result};
use crate::finding::{Control, Finding, word_of};
use crate::readback::sentence;
use crate::record::{Kept, Record};
use crate::review::{amendment, fields};

/// Changes a recorded finding, or takes it back; in a visit that is signed off it is marked as an amendment
#[derive(Args)]
pub struct Amend {
    /// The finding's number, as `couchside show --history` and `couchside search` show it
    number: i64,
    /// What is to be otherwise, in the words of dictation: "forty five", "left", "painful at end range"
    #[arg(required_unless_present = "take_back")]
    words: Vec<String>,
    /// Take the finding back instead
    #[arg(long, conflicts_with = "words")]
    take_back: bool,
    /// Why, in your words; kept with the change
    #[arg(long, value_name = "TEXT")]
    because: Option<String>,
}

/// Runs `couchside amend`.
pub fn run(args: &Amend) -> Result<()> {
    let mut record = record_of_therapist()?;
    record.say_because(args.because.clone());
    let (client, kept) = record.finding(args.number)?;
    output(&format!(
        "Finding {} of {client}: {}\n",
        args.number,
        fields(&kept.finding)
    ))?;
    match args.take_back {
        true => take_back(&mut record, args.number, kept.finding),
        false => change(&mut record, args, &kept),
    }
}

fn change(record: &mut Record, args: &Amend, before: &Kept) -> Result<()> {
    let grammar = grammar::in_use()?;
    let words = args.words.join(" ");
    let changed = amendment::amended(&grammar, &before.finding, &words)
        .map_err(|why| Error::Failed(format!("{why}; `couchside grammar say` shows what can be said")))?;
    output(&format!("It becomes: {}\n", sentence(&grammar, &changed)))?;
    // It is kept only now: what still waited when somebody left here would be offered as a finding of its own.
    if !is_confirmed()? {
        return output("Nothing is changed.\n");
    }
    amendment::change(
        record,
        &grammar,
        args.number,
        changed,
        &amendment::all_words(&before.heard, &words),
    )?;
    output("Changed. What it was before stays in the history.\n")
}

fn take_back(record: &mut Record, number: i64, finding: Finding) -> Result<()> {
    output("It is taken back.\n")?;
    if !is_confirmed()? {
        return output("Nothing is changed.\n");
    }
    amendment::take_back(record, number, finding)?;
    output("Taken back. It stays in the history.\n")
}

/// Whether the word is typed. Whatever else is typed, or nothing, is no.
fn is_confirmed() -> Result<bool> {
    let word = word_of(Control::Confirm);
    output(&format!("Type {word} to write it, anything else to leave it: "))?;
    let mut typed = String::new();
    stdin()
        .lock()
        .read_line(&mut typed)
        .map_err(|source| Error::File {
            doing: "read what is typed".into(),
            source,
        })?;
    Ok(typed.trim() == word)
}
