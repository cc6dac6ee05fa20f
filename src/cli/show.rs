//! `couchside show`: a client's case, for reading or as JSON.

use clap::Args;

use crate::cli::{output, print_json};
use crate::error::{Error, Result};
use crate::record::Record;
use crate::review::{case_table, history_text};

#[derive(Args)]
pub struct ShowArgs {
    /// The client's code
    #[arg(long, value_name = "CODE")]
    client: String,
    /// Everything that was done instead of how the case stands: what was heard, corrected, dropped, recorded and taken back
    #[arg(long)]
    history: bool,
    /// Print the case as one JSON object; the history as one for each entry, one per line
    #[arg(long)]
    json: bool,
}

/// Runs `couchside show`.
pub fn run(args: &ShowArgs) -> Result<()> {
    let record = Record::unlock()?;
    if args.history {
        let history = record.history(&args.client)?;
        return match args.json {
            true => history.iter().try_for_each(print_json),
            false => output(&history_text(&args.client, &history)),
        };
    }
    let case = record.case(&args.client)?;
    if !args.json {
        return output(&case_table(&case));
    }
    let json = serde_json::to_string(&case).map_err(|error| Error::File {
        doing: "write the case as JSON".to_owned(),
        source: error.into(),
    })?;
    output(&format!("{json}\n"))
}
