//! Text → words: the forms that recognisers and keyboards write become the words that are spoken.

use regex::{Regex, RegexBuilder};

use super::error::GrammarError;
use super::file::WrittenForms;

/// The rewritings of `written-forms.toml`, ready for use.
#[derive(Clone, Debug)]
pub struct Writing {
    forms: Vec<(Regex, String)>,
}

impl Writing {
    /// Compiles the patterns. `file` and `text` place a fault.
    pub fn new(source: &WrittenForms, file: &str, text: &str) -> Result<Writing, GrammarError> {
        let forms = source.form.iter().map(|form| {
            let pattern = RegexBuilder::new(form.pattern.as_ref())
                .case_insensitive(true)
                .build();
            let regex = pattern.map_err(|error| {
                GrammarError::at(
                    file,
                    text,
                    form.pattern.span().start,
                    format!("this pattern can't be read: {}", reason(&error)),
                    "patterns follow the syntax of the Rust regex package",
                )
            })?;
            if regex.is_match("") {
                return Err(GrammarError::at(
                    file,
                    text,
                    form.pattern.span().start,
                    "this pattern is found where nothing is written",
                    "let it hold at least one letter that must be there",
                ));
            }
            Ok((regex, form.with.clone()))
        });
        Ok(Writing {
            forms: forms.collect::<Result<_, GrammarError>>()?,
        })
    }

    /// The spoken words of a written text, lower case.
    pub fn words(&self, text: &str) -> Vec<String> {
        let mut text = text.to_string();
        for (pattern, with) in &self.forms {
            text = pattern.replace_all(&text, with.as_str()).into_owned();
        }
        text.split_whitespace().map(str::to_lowercase).collect()
    }
}

/// What is wrong with a pattern, without the drawing that the package puts above it.
fn reason(error: &regex::Error) -> String {
    let message = error.to_string();
    let last = message.lines().last().unwrap_or_default();
    last.trim_start_matches("error: ").to_string()
}
