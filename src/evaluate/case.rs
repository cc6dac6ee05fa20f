//! A case: a recording and what must be understood from it.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde::Serialize;

use super::EvaluateError;
use super::case_file;
use crate::finding::{Finding, Outcome};
use crate::grammar::Grammar;
use crate::interpret::Interpreter;

/// The file that makes a folder a case.
pub(super) const FILE: &str = "case.toml";

/// A recording with its truth.
#[derive(Clone, Debug)]
pub struct Case {
    /// Its name: what the file says, else the last part of the folder's path.
    pub id: String,
    pub folder: PathBuf,
    /// Lines dictated before it, as text, on which its meaning depends.
    pub before: Vec<String>,
    /// What is said in it, in order; at least one.
    pub utterances: Vec<Truth>,
    /// Whether the file lists its utterances one by one; otherwise the whole recording is one.
    pub continuous: bool,
    /// What must be in the record once it has been listened to, if the file says so.
    pub recorded: Option<Vec<Finding>>,
}

/// One utterance as it was meant.
#[derive(Clone, Debug)]
pub struct Truth {
    /// The words; empty if the file does not say them.
    pub said: String,
    pub outcome: Outcome,
    pub conditions: Conditions,
    /// Where the speech begins and ends, in seconds, if the file says so.
    pub span: Option<(f64, f64)>,
}

/// Under what conditions an utterance was spoken; `None` where the file does not say.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Conditions {
    pub voice: Option<String>,
    pub speed: Option<String>,
    pub noise: Option<String>,
    /// How far the noise lies under the speech, in decibels.
    pub snr_db: Option<String>,
    pub kind: Option<String>,
}

impl Case {
    /// Reads the `case.toml` of a folder. Keys that it does not know are passed over, but not within a finding: there
    /// a slip would make the truth say less than was meant.
    ///
    /// # Errors
    /// With the line and what to do, if the file cannot be read or its truth does not hold together.
    pub fn read(folder: &Path) -> Result<Case, EvaluateError> {
        let path = folder.join(FILE);
        let text = std::fs::read_to_string(&path).map_err(|source| EvaluateError::Read {
            path: path.clone(),
            source,
        })?;
        case_file::parse(folder, &text).map_err(|fault| EvaluateError::CaseFile {
            line: text[..fault.at.min(text.len())].matches('\n').count() + 1,
            path,
            why: fault.why,
        })
    }

    /// Reads what is heard in it: the lines before it have been said.
    pub fn interpreter(&self, grammar: &Arc<Grammar>) -> Interpreter {
        let mut interpreter = Interpreter::new(grammar.clone());
        for line in &self.before {
            interpreter.read(line);
        }
        interpreter
    }

    /// The recording.
    pub fn speech(&self) -> PathBuf {
        self.folder.join("speech.wav")
    }
}
