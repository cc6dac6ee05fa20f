//! What the model's tokens stand for.

use std::fs::File;
use std::io::ErrorKind;
use std::path::Path;

use super::raw::SpecialIds;
use super::{EngineError, Token};
use crate::hear::model::{ggml_check, vocabulary::Tokens};

/// The model's tokens: text, which are all ids below [`end_of_text`](Vocabulary::end_of_text), and the special
/// ones from there on, which stand for no text.
pub struct Vocabulary {
    bytes: Vec<Vec<u8>>,
    special: SpecialIds,
}

impl Vocabulary {
    /// `bytes` in order of ids, as the model file spells them; those of special tokens are dropped.
    pub(super) fn new(mut bytes: Tokens, special: SpecialIds) -> Vocabulary {
        bytes.resize(special.end_of_text as usize, Vec::new());
        Vocabulary { bytes, special }
    }

    /// How many text tokens there are: their ids are 0 up to this, which itself is the end of text.
    pub fn n_text(&self) -> usize {
        self.bytes.len()
    }

    /// The bytes of a text token; nothing for a special or unknown token. They need not be whole UTF-8
    /// characters. Multilingual models have one text token without bytes, which never gets a score.
    pub fn bytes(&self, token: Token) -> &[u8] {
        usize::try_from(token)
            .ok()
            .and_then(|id| self.bytes.get(id))
            .map_or(&[], Vec::as_slice)
    }

    /// Every text token with its bytes, in order of ids.
    pub fn text_tokens(&self) -> impl Iterator<Item = (Token, &[u8])> {
        (0..).zip(self.bytes.iter().map(Vec::as_slice))
    }

    /// The token that ends a transcript.
    pub fn end_of_text(&self) -> Token {
        self.special.end_of_text
    }

    /// The token that every prompt starts with.
    pub fn start_of_transcript(&self) -> Token {
        self.special.start
    }

    /// The token that says, right after the start, that nobody speaks.
    pub fn no_speech(&self) -> Token {
        self.special.no_speech
    }

    /// The token that asks for words without times.
    pub fn no_timestamps(&self) -> Token {
        self.special.no_timestamps
    }

    /// The token of the English language (multilingual models only).
    pub fn english(&self) -> Token {
        self.special.english
    }

    /// The token that asks for a transcript, not a translation (multilingual models only).
    pub fn transcribe(&self) -> Token {
        self.special.transcribe
    }

    /// Whether the model was trained on many languages.
    pub fn is_multilingual(&self) -> bool {
        self.special.multilingual
    }

    /// What the decoder is given before the first word: plain English words, no times.
    pub fn prompt(&self) -> Vec<Token> {
        if self.is_multilingual() {
            vec![
                self.start_of_transcript(),
                self.english(),
                self.transcribe(),
                self.no_timestamps(),
            ]
        } else {
            vec![self.start_of_transcript(), self.no_timestamps()]
        }
    }

    /// The text of a run of tokens. Bytes that are no UTF-8 become the replacement character.
    pub fn words(&self, tokens: &[Token]) -> String {
        let bytes: Vec<u8> = tokens
            .iter()
            .flat_map(|&token| self.bytes(token))
            .copied()
            .collect();
        String::from_utf8_lossy(&bytes).into_owned()
    }
}

/// The tokens of a model file, which is found whole on the way: whisper.cpp takes it on trust.
pub(super) fn read(path: &Path) -> Result<Tokens, EngineError> {
    let unreadable = |source: std::io::Error| match source.kind() {
        ErrorKind::NotFound => EngineError::NoModel(path.into()),
        _ => EngineError::Unreadable {
            path: path.into(),
            source,
        },
    };
    let file = File::open(path).map_err(unreadable)?;
    let metadata = file.metadata().map_err(unreadable)?;
    if metadata.is_dir() {
        return Err(unreadable(ErrorKind::IsADirectory.into()));
    }
    ggml_check::vocabulary(file, metadata.len()).map_err(|fault| EngineError::Damaged {
        path: path.into(),
        why: fault.to_string(),
    })
}
