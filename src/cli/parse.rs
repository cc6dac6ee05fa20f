//! `couchside parse`: text instead of speech.

use std::io::BufRead;

use clap::Args;
use serde::Serialize;

use crate::error::{Error, Result};
use crate::finding::Outcome;
use crate::interpret::Interpreter;

/// Reads dictation written as text and prints what it means, one JSON object per line.
#[derive(Args)]
pub struct Parse {
    /// Each line stands alone: nothing carries over from the line before.
    #[arg(long)]
    each: bool,
    /// The words, one utterance; without any, every line of standard input is one.
    // "extension -5" is dictation, not an option.
    #[arg(allow_negative_numbers = true)]
    text: Vec<String>,
}

#[derive(Serialize)]
struct Line<'a> {
    line: usize,
    heard: &'a str,
    #[serde(flatten)]
    outcome: &'a Outcome,
}

impl Parse {
    /// Runs the command.
    pub fn run(self) -> Result<()> {
        let grammar = super::grammar::in_use()?;
        let mut interpreter = Interpreter::new(grammar);
        if !self.text.is_empty() {
            return self.print(&mut interpreter, 1, &self.text.join(" "));
        }
        for (number, line) in std::io::stdin().lock().split(b'\n').enumerate() {
            let line = line.map_err(|source| Error::File {
                doing: "read the lines to parse".into(),
                source,
            })?;
            // A byte that is no text must not cost the lines after it: it stands as a word that is not known.
            let line = String::from_utf8_lossy(&line);
            self.print(&mut interpreter, number + 1, line.trim_end_matches('\r'))?;
        }
        Ok(())
    }

    fn print(&self, interpreter: &mut Interpreter, line: usize, heard: &str) -> Result<()> {
        if self.each {
            interpreter.forget();
        }
        let reading = interpreter.read(heard);
        super::print_json(&Line {
            line,
            heard,
            outcome: &reading.outcome,
        })
    }
}
