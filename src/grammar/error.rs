//! What is wrong with a grammar file: where, which line, why, and what to do about it.

use std::fmt;

use super::check::Check;

/// A fault in one grammar file.
#[derive(Debug)]
pub struct GrammarError {
    file: String,
    line: usize,
    column: usize,
    excerpt: String,
    message: String,
    remedy: String,
    check: Check,
}

impl GrammarError {
    /// The fault at byte `offset` of `text`, the content of `file`. `message` says what is wrong, `remedy` what to
    /// do next.
    pub fn at(
        file: &str,
        text: &str,
        offset: usize,
        message: impl Into<String>,
        remedy: impl Into<String>,
    ) -> GrammarError {
        let mut offset = offset.min(text.len());
        while !text.is_char_boundary(offset) {
            offset -= 1;
        }
        let start = text[..offset].rfind('\n').map_or(0, |at| at + 1);
        let end = text[offset..].find('\n').map_or(text.len(), |at| offset + at);
        GrammarError {
            file: file.to_string(),
            line: text[..offset].matches('\n').count() + 1,
            column: text[start..offset].chars().count() + 1,
            excerpt: text[start..end].to_string(),
            message: message.into(),
            remedy: remedy.into(),
            check: Check::Readable,
        }
    }

    /// The same fault, as one that this check looks for.
    pub fn found_by(self, check: Check) -> GrammarError {
        GrammarError { check, ..self }
    }

    /// Which of the named checks looks for it.
    pub fn check(&self) -> Check {
        self.check
    }

    /// The file that it is in.
    pub fn file(&self) -> &str {
        &self.file
    }
}

impl fmt::Display for GrammarError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let number = self.line.to_string();
        let margin = " ".repeat(number.len());
        writeln!(out, "{}", self.message)?;
        writeln!(out, "{margin}--> {}:{}:{}", self.file, self.line, self.column)?;
        writeln!(out, "{margin} |")?;
        writeln!(out, "{number} | {}", self.excerpt)?;
        writeln!(out, "{margin} | {}^", " ".repeat(self.column - 1))?;
        write!(out, "{margin} = {}", self.remedy)
    }
}

impl std::error::Error for GrammarError {}
