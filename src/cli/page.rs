//! `couchside page`: what is recorded, in a browser.

use std::sync::Arc;

use clap::Args;

use super::ears::Ears;
use super::output;
use crate::error::Result;
use crate::page::{Desk, Place};
use crate::record::{Passphrase, home};
use crate::settings::Settings;

/// Opens a page in your browser: listen, review, correct, look at a case over time, search. Ctrl-C ends it
#[derive(Args)]
pub struct PageArgs {
    /// The port on this machine; any that is free if you leave it out
    #[arg(long, value_name = "N", default_value_t = 0)]
    port: u16,
    /// Print the address, and leave the browser alone
    #[arg(long)]
    no_open: bool,
}

/// Runs `couchside page`.
pub fn run(args: &PageArgs) -> Result<()> {
    let home = home()?;
    let desk =
        Desk::new(home.clone(), Settings::load(&home)?, super::grammar::in_use()?)?.with_ears(Ears { home });
    // The page asks for it, unless it is at hand.
    if desk.has_record()
        && let Some(passphrase) = Passphrase::at_hand()
    {
        desk.unlock(&passphrase?)?;
    }
    let place = Place::take(args.port)?;
    let address = place.address_of(&desk);
    output(&format!("{address}\n"))?;
    if !args.no_open && open::that_detached(&address).is_err() {
        output("Open this address in a browser on this machine. Ctrl-C ends the page.\n")?;
    }
    place.serve(Arc::new(desk))
}
