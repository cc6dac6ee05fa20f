//! The text tokens of a Whisper model, from the two files that CTranslate2 folders keep them in.
//!
//! Both write a token's bytes as characters, after GPT-2's table: printable Latin-1 stands for itself, every other
//! byte for a character from U+0100 on.

use std::collections::HashMap;

use serde::Deserialize;

use super::Fault;
use super::shape::Shape;

/// Text tokens that every Whisper vocabulary has at least. The special ones follow and are not in the file.
pub const LEAST_TOKENS: u32 = 50_256;

/// Longest token that is taken for one, in bytes; the longest in use has 128 blanks.
pub const LONGEST_TOKEN: u32 = 1024;

/// Tokens in the order of their numbers, as bytes.
pub type Tokens = Vec<Vec<u8>>;

#[derive(Deserialize)]
struct TokenizerFile {
    model: TokenizerModel,
}

#[derive(Deserialize)]
struct TokenizerModel {
    vocab: HashMap<String, u32>,
}

/// Reads a `tokenizer.json` (Hugging Face tokenizers), whose `model.vocab` maps each text token to its number.
///
/// # Errors
/// A fault if the file is not such JSON, or the numbers have gaps.
pub fn from_tokenizer(json: &[u8]) -> Result<Tokens, Fault> {
    let file: TokenizerFile = serde_json::from_slice(json)
        .map_err(|error| Fault(format!("its tokenizer.json can't be read ({error})")))?;
    let mut tokens: Tokens = vec![Vec::new(); file.model.vocab.len()];
    let mut seen = vec![false; tokens.len()];
    for (text, number) in &file.model.vocab {
        let gap = || {
            Fault(format!(
                "the tokens of its tokenizer.json are not numbered without gaps (token {number})"
            ))
        };
        let place = *number as usize;
        let slot = tokens.get_mut(place).ok_or_else(gap)?;
        if std::mem::replace(&mut seen[place], true) {
            return Err(gap());
        }
        *slot = bytes_of(text)?;
    }
    Ok(tokens)
}

/// Reads a `vocabulary.json`: every token in order, special ones included. Of those only the end of text counts as
/// a text token, and only in English-only models, as in the published files.
///
/// # Errors
/// A fault if the file is no list of words, or has no `<|endoftext|>`.
pub fn from_list(json: &[u8], shape: &Shape) -> Result<Tokens, Fault> {
    let list: Vec<String> = serde_json::from_slice(json)
        .map_err(|error| Fault(format!("its vocabulary.json can't be read ({error})")))?;
    let end = list
        .iter()
        .position(|token| token == "<|endoftext|>")
        .ok_or_else(|| Fault("its vocabulary.json has no <|endoftext|>".to_string()))?;
    let count = if shape.is_multilingual() { end } else { end + 1 };
    list[..count].iter().map(|token| bytes_of(token)).collect()
}

/// Whether the tokens can be those of a model of this shape.
///
/// # Errors
/// A fault if there are too few, too many, or one is too long.
pub fn check(tokens: &Tokens, shape: &Shape) -> Result<(), Fault> {
    let count = tokens.len();
    if !(LEAST_TOKENS as usize..=shape.tokens as usize).contains(&count) {
        return Err(Fault(format!(
            "its vocabulary has {count} tokens, which does not go with its weights"
        )));
    }
    match tokens.iter().find(|token| token.len() > LONGEST_TOKEN as usize) {
        Some(token) => Err(Fault(format!(
            "its vocabulary has a token of {} bytes",
            token.len()
        ))),
        None => Ok(()),
    }
}

fn bytes_of(text: &str) -> Result<Vec<u8>, Fault> {
    text.chars()
        .map(|c| {
            byte_of(c).ok_or_else(|| {
                Fault(format!(
                    "its vocabulary has the character {c:?}, which stands for no byte"
                ))
            })
        })
        .collect()
}

/// The byte that a character of GPT-2's table stands for.
fn byte_of(c: char) -> Option<u8> {
    match u32::from(c) {
        code @ (0x21..=0x7e | 0xa1..=0xac | 0xae..=0xff) => u8::try_from(code).ok(),
        // The other bytes in order: 0x00 to 0x20, then 0x7f to 0xa0, then 0xad.
        code @ 0x100..=0x120 => u8::try_from(code - 0x100).ok(),
        code @ 0x121..=0x142 => u8::try_from(code - 0x121 + 0x7f).ok(),
        0x143 => Some(0xad),
        _ => None,
    }
}
