//! `couchside learnt`: what was learnt from corrections.

use clap::{Args, Subcommand};

use super::output;
use crate::error::{Error, Result};
use crate::learn::{Alias, Learnt};
use crate::record;

#[derive(Args)]
pub struct LearntArgs {
    #[command(subcommand)]
    command: Option<LearntCommand>,
}

#[derive(Subcommand)]
enum LearntCommand {
    /// Forgets what misheard words stand for, or everything with --all
    Forget {
        /// The misheard words, as the list shows them
        #[arg(required_unless_present = "all")]
        heard: Vec<String>,
        /// Forget everything that was learnt
        #[arg(long, conflicts_with = "heard")]
        all: bool,
    },
}

/// Runs `couchside learnt …`.
pub fn run(args: &LearntArgs) -> Result<()> {
    let home = record::home()?;
    let mut learnt = Learnt::load(&home)?;
    match &args.command {
        None => output(&page(&learnt, &Learnt::place(&home).display().to_string())),
        Some(LearntCommand::Forget { all: true, .. }) => {
            Learnt::default().save(&home)?;
            output("Everything that was learnt is forgotten.\n")
        }
        Some(LearntCommand::Forget { heard, .. }) => {
            let heard = heard.join(" ");
            if !learnt.forget(&heard) {
                return Err(Error::Usage(format!(
                    "nothing was learnt of “{heard}”; `couchside learnt` lists what was"
                )));
            }
            learnt.save(&home)?;
            output(&format!("“{heard}” is forgotten.\n"))
        }
    }
}

fn page(learnt: &Learnt, place: &str) -> String {
    if learnt.alias.is_empty() {
        return "Nothing has been learnt from your corrections yet. Correct or repeat what was misheard and confirm it: \
                words that are misheard again and again are understood after a while.\n"
            .into();
    }
    let (used, tried): (Vec<&Alias>, Vec<&Alias>) = learnt.alias.iter().partition(|alias| alias.is_trusted());
    let mut page = format!("What was learnt is kept in\n    {place}\n");
    for (head, aliases) in [
        ("Misheard words that are understood now", used),
        ("Seen, but not often enough to be used", tried),
    ] {
        if !aliases.is_empty() {
            page += &format!("\n{head}:\n");
        }
        for alias in aliases {
            let misled = match alias.misled {
                0 => String::new(),
                times => format!(", misled {}", count(times)),
            };
            let helped = count(alias.helped);
            page += &format!(
                "    “{}” for {} (helped {helped}{misled})\n",
                alias.heard, alias.means
            );
        }
    }
    page + "\nTo take one out: couchside learnt forget WORDS\n"
}

fn count(times: u32) -> String {
    match times {
        1 => "once".into(),
        2 => "twice".into(),
        _ => format!("{times} times"),
    }
}
