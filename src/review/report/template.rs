//! What a report holds, in order: `grammars/reports`, or a therapist's own.

use std::path::Path;

use serde::{Deserialize, Serialize};

use crate::own_file::{OwnFileError, read};

/// A report's parts.
#[derive(Clone, Debug, Default, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Template {
    pub title: String,
    #[serde(default)]
    pub footer: String,
    #[serde(default)]
    pub part: Vec<Part>,
}

/// One part: text of its own, or something of the case.
#[derive(Clone, Debug, Default, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Part {
    #[serde(default)]
    pub heading: Option<String>,
    #[serde(default)]
    pub text: Option<String>,
    #[serde(default)]
    pub show: Option<Show>,
}

/// What is shown of a case.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Show {
    Client,
    Cautions,
    History,
    Findings,
    Pictures,
    Notes,
    Hints,
    Comparison,
    Course,
    Assessment,
    Treatment,
    Advice,
    Plan,
    Retest,
    Amendments,
    Signature,
}

/// The kinds of reports.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Kind {
    /// A note of one visit
    Note,
    /// How it went over the visits
    Progress,
    /// A letter to whoever referred the client
    Letter,
}

impl Kind {
    /// Its name, which is that of its file.
    pub fn name(self) -> &'static str {
        match self {
            Kind::Note => "note",
            Kind::Progress => "progress",
            Kind::Letter => "letter",
        }
    }

    fn carried(self) -> &'static str {
        match self {
            Kind::Note => include_str!("../../../grammars/reports/note.toml"),
            Kind::Progress => include_str!("../../../grammars/reports/progress.toml"),
            Kind::Letter => include_str!("../../../grammars/reports/letter.toml"),
        }
    }
}

impl Template {
    /// The therapist's own, in the folder `reports` of the record's folder, or the program's.
    ///
    /// # Errors
    /// The therapist's own can't be read, or there is a slip in it.
    pub fn of(kind: Kind, home: &Path) -> Result<Template, OwnFileError> {
        let own = home.join("reports").join(format!("{}.toml", kind.name()));
        match own.exists() {
            true => read(&own, "your report"),
            false => Ok(toml::from_str(kind.carried()).expect("a test reads it")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_programs_own_are_in_order() {
        let home = tempfile::tempdir().unwrap();
        for kind in [Kind::Note, Kind::Progress, Kind::Letter] {
            let template = Template::of(kind, home.path()).unwrap();
            assert!(template.part.len() > 4, "{kind:?}");
            for part in &template.part {
                assert!(part.text.is_some() != part.show.is_some(), "{part:?}");
            }
        }
    }
}
