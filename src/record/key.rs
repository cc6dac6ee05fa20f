//! The passphrase that opens the record, and where it comes from.

use std::fmt;
use std::fs::File;
use std::io::{BufRead, BufReader, Read};
use std::path::PathBuf;

use zeroize::Zeroizing;

use super::RecordError;

/// More than this is no passphrase; it keeps a wrongly named file from being read whole.
const LONGEST: u64 = 4096;

/// The words that open the record. They are wiped from memory when this is dropped and never printed.
#[derive(Clone)]
pub struct Passphrase(Zeroizing<String>);

/// How often a person is asked when the passphrase must be typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ask {
    /// To open a record.
    Once,
    /// For a new record, where a slip would lock it for ever.
    Twice,
    /// For the new passphrase of a record that has one.
    New,
}

impl Passphrase {
    /// A passphrase of these words, exactly as they are.
    ///
    /// # Errors
    /// It is empty, or holds the null character, at which the database would cut it off.
    pub fn new(words: String) -> Result<Passphrase, RecordError> {
        let words = Zeroizing::new(words);
        if words.is_empty() {
            return Err(RecordError::EmptyPassphrase);
        }
        if words.contains('\0') {
            return Err(RecordError::PassphraseNotText);
        }
        Ok(Passphrase(words))
    }

    /// The first line of the file that `COUCHSIDE_PASSPHRASE_FILE` names, else `COUCHSIDE_PASSPHRASE`, else
    /// what is typed at the terminal, where it is not shown. For a new one: `COUCHSIDE_NEW_PASSPHRASE_FILE` and
    /// `COUCHSIDE_NEW_PASSPHRASE`.
    ///
    /// # Errors
    /// The file cannot be read, there is no terminal, the two entries differ, or it is empty or not text.
    pub fn obtain(ask: Ask) -> Result<Passphrase, RecordError> {
        let (file, words, first) = match ask {
            Ask::Once | Ask::Twice => (
                "COUCHSIDE_PASSPHRASE_FILE",
                "COUCHSIDE_PASSPHRASE",
                "Passphrase of the record: ",
            ),
            Ask::New => (
                "COUCHSIDE_NEW_PASSPHRASE_FILE",
                "COUCHSIDE_NEW_PASSPHRASE",
                "New passphrase: ",
            ),
        };
        if let Some(given) = given(file, words) {
            return given;
        }
        let first = typed(first)?;
        match ask {
            Ask::Once => Ok(first),
            Ask::Twice | Ask::New => agreed(first, typed("The same passphrase again: ")?),
        }
    }

    /// The passphrase, if nobody need be asked for it.
    pub fn at_hand() -> Option<Result<Passphrase, RecordError>> {
        given("COUCHSIDE_PASSPHRASE_FILE", "COUCHSIDE_PASSPHRASE")
    }

    fn from_file(path: PathBuf) -> Result<Passphrase, RecordError> {
        let mut line = Zeroizing::new(Vec::with_capacity(LONGEST as usize));
        File::open(&path)
            .and_then(|file| BufReader::new(file.take(LONGEST)).read_until(b'\n', &mut line))
            .map_err(|source| RecordError::PassphraseFile { path, source })?;
        let words = std::str::from_utf8(&line).map_err(|_| RecordError::PassphraseNotText)?;
        Passphrase::new(words.trim_end_matches(['\r', '\n']).to_owned())
    }

    /// For the one place that hands it to the database.
    pub(super) fn expose(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for Passphrase {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str("Passphrase(hidden)")
    }
}

/// From the file that one variable names, else the words of the other.
fn given(file: &str, words: &str) -> Option<Result<Passphrase, RecordError>> {
    if let Some(path) = std::env::var_os(file) {
        return Some(Passphrase::from_file(path.into()));
    }
    let words = std::env::var_os(words)?.into_string();
    Some(
        words
            .map_err(|_| RecordError::PassphraseNotText)
            .and_then(Passphrase::new),
    )
}

fn typed(prompt: &str) -> Result<Passphrase, RecordError> {
    Passphrase::new(rpassword::prompt_password(prompt).map_err(RecordError::Prompt)?)
}

fn agreed(first: Passphrase, second: Passphrase) -> Result<Passphrase, RecordError> {
    if first.expose() == second.expose() {
        Ok(first)
    } else {
        Err(RecordError::PassphrasesDiffer)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_entries_must_be_the_same() {
        let passphrase = |words: &str| Passphrase::new(words.to_owned()).unwrap();
        assert_eq!(
            agreed(passphrase("a b"), passphrase("a b")).unwrap().expose(),
            "a b"
        );
        let error = agreed(passphrase("a b"), passphrase("a  b")).unwrap_err();
        assert_eq!(
            error.to_string(),
            "the two passphrases differ, so no record was made; start again"
        );
    }

    #[test]
    fn debug_does_not_show_it() {
        let shown = format!("{:?}", Passphrase::new("hunter2".to_owned()).unwrap());
        assert!(!shown.contains("hunter2"), "{shown}");
    }
}
