//! `couchside compare`: left against right, now against before.

use clap::Args;

use super::{output, print_json};
use crate::error::Result;
use crate::record::Record;
use crate::review::compare::{compare, compare_text};

/// Compares what was measured: left against right, and now against the visit before and the first
#[derive(Args)]
pub struct CompareArgs {
    /// The client's code
    #[arg(long, value_name = "CODE")]
    client: String,
    /// The visit's number, as `couchside visit list` shows it; the latest with findings if you leave it out
    #[arg(long, value_name = "N")]
    visit: Option<i64>,
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
    let case = record.case(&args.client)?;
    let compared = compare(super::grammar::in_use()?.as_ref(), &case, args.visit);
    match args.json {
        true => compared.iter().try_for_each(print_json),
        false => output(&compare_text(&compared)),
    }
}
