//! `couchside compare`: left against right, now against before.

use clap::Args;

use super::{output, print_json};
use crate::error::Result;
use crate::record::Record;
use crate::review::compare::{compare, compare_text};
use crate::review::hints::hints;

/// Compares what was measured: left against right, and now against the visit before and the first
#[derive(Args)]
pub struct CompareArgs {
    /// The client's code
    #[arg(long, value_name = "CODE")]
    client: String,
    /// The visit's number, as `couchside visit list` shows it; the latest with findings if you leave it out
    #[arg(long, value_name = "N")]
    visit: Option<i64>,
    /// With what textbooks associate with the findings: hints, never diagnoses
    #[arg(long, conflicts_with = "json")]
    hints: bool,
    /// Print one JSON object for each movement and mode
    #[arg(long)]
    json: bool,
}

/// Runs `couchside compare`.
pub fn run(args: &CompareArgs) -> Result<()> {
    let record = Record::unlock()?;
    if let Some(number) = args.visit {
        record.visit_of(&args.client, Some(number))?;
    }
    let client = record.client(&args.client)?.details;
    let case = record.case(&args.client)?;
    let grammar = super::grammar::in_use()?;
    let compared = compare(&grammar, &client, &case, args.visit);
    match args.json {
        true => compared.iter().try_for_each(print_json),
        false => {
            output(&compare_text(&compared))?;
            let visit = case.visit(args.visit).filter(|_| args.hints);
            let hints = visit.map(|visit| hints(&grammar, visit)).unwrap_or_default();
            if args.hints && hints.is_empty() {
                return output("\nNo textbook rule goes with these findings.\n");
            }
            hints
                .iter()
                .try_for_each(|hint| output(&format!("\n{}\n  source: {}\n", hint.says, hint.source)))
        }
    }
}
