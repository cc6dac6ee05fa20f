//! The page beside the listening: what is heard is shown there as it happens.

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::sync::mpsc::Sender;
use std::thread::JoinHandle;

use super::ears::Ears;
use crate::error::{Error, Result};
use crate::grammar::Grammar;
use crate::page::{Desk, Live, Place};
use crate::record::{Passphrase, Record};
use crate::settings::Settings;

/// A page that is served while the program listens.
pub struct LivePage {
    pub live: Arc<Live>,
    /// The address that opens it, token included.
    pub address: String,
    serving: JoinHandle<Result<()>>,
}

/// What it is about, and how it reaches the listening.
pub struct About<'a> {
    pub home: &'a Path,
    pub settings: &'a Settings,
    pub passphrase: &'a Passphrase,
    pub grammar: Arc<Grammar>,
    /// The client's code; today's visit is open.
    pub client: &'a str,
    pub touch: Sender<String>,
    pub stop: Arc<AtomicBool>,
}

impl LivePage {
    /// Serves it, and opens a browser.
    ///
    /// # Errors
    /// The record can't be opened a second time, or this machine gives no port or thread.
    pub fn open(about: About<'_>) -> Result<LivePage> {
        let record = Record::open(about.home, about.passphrase)?;
        let live = Live::of(
            &record,
            about.grammar.clone(),
            about.client,
            about.touch,
            about.stop,
        )?;
        let live = Arc::new(live);
        let home = about.home.to_owned();
        let desk = Desk::new(home.clone(), about.settings.clone(), about.grammar)?
            .with_live(live.clone())
            .with_ears(Ears { home });
        desk.keep(record, about.passphrase);
        let place = Place::take(0)?;
        let address = place.address_of(&desk);
        let serving = std::thread::Builder::new()
            .name("page".into())
            .spawn(move || place.serve(Arc::new(desk)))
            .map_err(|source| Error::File {
                doing: "serve the page".into(),
                source,
            })?;
        // Where there is no browser the address is on the screen.
        let _ = open::that_detached(&address);
        Ok(LivePage {
            live,
            address,
            serving,
        })
    }

    /// Serves on, now that nobody listens any more, until the program is ended.
    ///
    /// # Errors
    /// The page can't be served any more.
    pub fn stay(self) -> Result<()> {
        self.live.ended();
        self.serving.join().unwrap_or(Ok(()))
    }
}
