//! `couchside sftr`: neutral-zero notation of what was measured, both ways.

use clap::Subcommand;

use super::{output, print_json};
use crate::error::{Error, Result};
use crate::readback::written as sentence;
use crate::record::{Record, RecordError};
use crate::review::sftr;

#[derive(Subcommand)]
pub enum SftrCommand {
    /// Shows the pairs of movements of a visit that were both measured: right hip, passive: S 15-0-120
    Show {
        /// The client's code
        #[arg(long, value_name = "CODE")]
        client: String,
        /// The visit's number, as `couchside visit list` shows it; the latest with findings if you leave it out
        #[arg(long, value_name = "N")]
        visit: Option<i64>,
    },
    /// Says what is written: couchside sftr read right hip S 15-0-120
    Read {
        /// Side, joint, active or passive, the letter of the plane, and the three numbers
        #[arg(required = true)]
        words: Vec<String>,
        /// Print each finding as a JSON object
        #[arg(long)]
        json: bool,
    },
}

/// Runs `couchside sftr …`.
pub fn run(command: SftrCommand) -> Result<()> {
    let grammar = super::grammar::in_use()?;
    match command {
        SftrCommand::Show { client, visit } => {
            let case = Record::unlock()?.case(&client)?;
            let visit = case.visit(visit).ok_or(RecordError::NoVisit)?;
            let lines = sftr::written(&grammar, visit);
            if lines.is_empty() {
                return output("No pair of movements was measured in both directions.\n");
            }
            lines
                .iter()
                .try_for_each(|line| output(&format!("{}\n", line.in_words())))
        }
        SftrCommand::Read { words, json } => {
            let findings = sftr::read(&grammar, &words.join(" ")).map_err(Error::Failed)?;
            match json {
                true => findings.iter().try_for_each(print_json),
                false => findings
                    .iter()
                    .try_for_each(|finding| output(&format!("{}\n", sentence(&grammar, finding)))),
            }
        }
    }
}
