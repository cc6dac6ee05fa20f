//! The model file, read far enough to know that it is whole.
//!
//! whisper.cpp trusts the file: a cut or foreign one can end the process instead of failing. So everything that
//! its loader takes on trust is checked here first. The format is that of whisper.cpp's `whisper_model_load`:
//! magic, eleven numbers, mel filters, the vocabulary as length and bytes, then the tensors until the file ends.

use std::fs::File;
use std::io::{BufReader, ErrorKind, Read};
use std::path::Path;

use super::EngineError;

const MAGIC: u32 = 0x6767_6d6c;

/// Reads the bytes of every token that the file spells out, in order of their ids, and checks the rest.
pub(super) fn read_vocabulary(path: &Path) -> Result<Vec<Vec<u8>>, EngineError> {
    let opened = File::open(path).and_then(|file| Ok((file.metadata()?, file)));
    let (metadata, file) = opened.map_err(|source| match source.kind() {
        ErrorKind::NotFound => EngineError::NoModel(path.into()),
        _ => EngineError::Unreadable {
            path: path.into(),
            source,
        },
    })?;
    let mut reader = ModelFile {
        reader: BufReader::new(file),
        left: metadata.len(),
    };
    reader.vocabulary_and_tensors().map_err(|fault| match fault {
        Fault::Damaged(why) => EngineError::Damaged {
            path: path.into(),
            why,
        },
        Fault::Unreadable(source) => EngineError::Unreadable {
            path: path.into(),
            source,
        },
    })
}

enum Fault {
    Damaged(String),
    Unreadable(std::io::Error),
}

fn damaged<T>(why: impl Into<String>) -> Result<T, Fault> {
    Err(Fault::Damaged(why.into()))
}

struct ModelFile {
    reader: BufReader<File>,
    /// Bytes that have not been read or skipped.
    left: u64,
}

impl ModelFile {
    fn vocabulary_and_tensors(&mut self) -> Result<Vec<Vec<u8>>, Fault> {
        if self.number()? != MAGIC {
            return damaged("it does not begin as one");
        }
        self.check_sizes()?;
        let filters = u64::from(self.number()?) * u64::from(self.number()?);
        self.skip(filters.saturating_mul(4))?;
        let count = self.number()?;
        if !(50_000..52_000).contains(&count) {
            return damaged(format!("it has {count} tokens"));
        }
        let mut tokens = Vec::with_capacity(count as usize);
        for _ in 0..count {
            let length = self.number()?;
            if length > 1024 {
                return damaged(format!("it has a token of {length} bytes"));
            }
            let mut bytes = vec![0; length as usize];
            self.fill(&mut bytes)?;
            tokens.push(bytes);
        }
        while self.left > 0 {
            self.skip_tensor()?;
        }
        Ok(tokens)
    }

    /// The numbers of the header, with the values that the published family of models has.
    fn check_sizes(&mut self) -> Result<(), Fault> {
        let mut header = [0; 11];
        for value in &mut header {
            *value = self.number()?;
        }
        let [
            vocabulary,
            sound_places,
            width,
            heads,
            layers,
            text_places,
            text_width,
            text_heads,
            text_layers,
            bands,
            kind,
        ] = header;
        let fits = (51_864..=51_866).contains(&vocabulary)
            && (sound_places, text_places) == (1500, 448)
            && matches!((width, layers), (384, 4) | (512, 6) | (768, 12) | (1024, 24) | (1280, 32))
            && (text_width, heads, text_heads) == (width, width / 64, width / 64)
            && (2..=32).contains(&text_layers)
            && (bands == 80 || bands == 128)
            // Thousands count versions of the quantisation; the rest is the kind of most tensors.
            && matches!(kind % 1000, 0..=3 | 7..=9);
        if fits {
            Ok(())
        } else {
            damaged(format!("its sizes are {header:?}"))
        }
    }

    fn skip_tensor(&mut self) -> Result<(), Fault> {
        let (dimensions, name_length, kind) = (self.number()?, self.number()?, self.number()?);
        if !(1..=3).contains(&dimensions) || !(1..=128).contains(&name_length) {
            return damaged("a tensor is not where it should be");
        }
        let mut elements: u64 = 1;
        for _ in 0..dimensions {
            elements = elements.saturating_mul(u64::from(self.number()?));
        }
        let Some((block, bytes)) = bytes_per_block(kind) else {
            return damaged(format!("a tensor is of kind {kind}"));
        };
        self.skip(u64::from(name_length))?;
        self.skip((elements / block).saturating_mul(bytes))
    }

    fn number(&mut self) -> Result<u32, Fault> {
        let mut bytes = [0; 4];
        self.fill(&mut bytes)?;
        Ok(u32::from_le_bytes(bytes))
    }

    fn fill(&mut self, bytes: &mut [u8]) -> Result<(), Fault> {
        self.take(bytes.len() as u64)?;
        self.reader.read_exact(bytes).map_err(Fault::Unreadable)
    }

    fn skip(&mut self, bytes: u64) -> Result<(), Fault> {
        self.take(bytes)?;
        self.reader.seek_relative(bytes as i64).map_err(Fault::Unreadable)
    }

    fn take(&mut self, bytes: u64) -> Result<(), Fault> {
        match self.left.checked_sub(bytes) {
            Some(left) => self.left = left,
            None => return damaged("it is cut short"),
        }
        Ok(())
    }
}

/// Elements in a block and the bytes that they take, for the tensor kinds of ggml that Whisper models come in:
/// 32-bit and 16-bit floats, q4_0, q4_1, q5_0, q5_1 and q8_0.
fn bytes_per_block(kind: u32) -> Option<(u64, u64)> {
    match kind {
        0 => Some((1, 4)),
        1 => Some((1, 2)),
        2 => Some((32, 18)),
        3 => Some((32, 20)),
        6 => Some((32, 22)),
        7 => Some((32, 24)),
        8 => Some((32, 34)),
        _ => None,
    }
}
