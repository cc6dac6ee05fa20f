//! `couchside show`: a client's case, for reading or as JSON.

use clap::Args;

use crate::cli::output;
use crate::error::{Error, Result};
use crate::record::Record;
use crate::review::case_table;

#[derive(Args)]
pub struct ShowArgs {
    /// The client's code
    #[arg(long, value_name = "CODE")]
    client: String,
    /// Print the case as one JSON object
    #[arg(long)]
    json: bool,
}

/// Runs `couchside show`.
pub fn run(args: &ShowArgs) -> Result<()> {
    let case = Record::unlock()?.case(&args.client)?;
    if !args.json {
        return output(&case_table(&case));
    }
    let json = serde_json::to_string(&case).map_err(|error| Error::File {
        doing: "write the case as JSON".to_owned(),
        source: error.into(),
    })?;
    output(&format!("{json}\n"))
}
