//! `couchside settings`: how the program listens and answers.

use clap::Args;

use super::output;
use crate::error::{Error, Result};
use crate::pipeline::WayIn;
use crate::record;
use crate::settings::{ABOUT, Settings};

/// Shows how couchside listens and answers, or changes it
#[derive(Args)]
pub struct SettingsArgs {
    /// What to change
    name: Option<String>,
    /// What it is to be
    #[arg(requires = "name", allow_hyphen_values = true)]
    value: Option<String>,
    /// As it is usually
    #[arg(long, requires = "name", conflicts_with = "value")]
    usual: bool,
}

/// Runs `couchside settings …`.
pub fn run(args: &SettingsArgs) -> Result<()> {
    let home = record::home()?;
    let mut settings = Settings::load(&home)?;
    let Some(name) = &args.name else {
        return output(&page(&settings, &Settings::place(&home).display().to_string()));
    };
    if args.value.is_some() || args.usual {
        if let ("cue", Some(cue)) = (name.as_str(), &args.value) {
            super::grammar::in_use()?.may_be_cue(cue).map_err(Error::Usage)?;
        }
        settings = settings.set(name, args.value.as_deref()).map_err(Error::Usage)?;
        settings.save(&home)?;
    }
    let value = settings.get(name).map_err(Error::Usage)?;
    output(&line(name, value))?;
    if settings.way_in == WayIn::Cue && settings.cue.is_none() {
        return output("There is no cue yet: couchside settings cue WORD\n");
    }
    Ok(())
}

fn page(settings: &Settings, place: &str) -> String {
    let mut page = String::new();
    for (name, may_be, does) in ABOUT {
        page += &line(name, settings.get(name).unwrap_or_default());
        page += &format!("    may be {may_be}\n    {does}\n\n");
    }
    page + &format!(
        "To change one: couchside settings NAME VALUE, or --usual instead of the value. Kept in\n    {place}\n"
    )
}

fn line(name: &str, value: Option<String>) -> String {
    let usual = match name {
        "cue" | "therapist" => "none",
        "visits-kept" => "without end",
        _ => "as the system has it",
    };
    format!("{name:16}{}\n", value.as_deref().unwrap_or(usual))
}
