//! Reads the weights of a CTranslate2 model: a `model.bin` of version 6.
//!
//! Little-endian throughout: u32 version, the specification's name, u32 revision; u32 count, then per variable its
//! name, u8 rank, a u32 per dimension, u8 type, u32 bytes, data; then u32 count and pairs of names that are aliases.
//! A name is a u16 length, closing NUL included, and its bytes. Nothing in the file is believed before it is checked.

use std::collections::HashMap;

use super::Fault;
use super::shape::{HEAD_WIDTH, Shape};

/// How such a file begins: version 6, the length of the name, the name.
pub const BEGINNING: &[u8] = b"\x06\x00\x00\x00\x0c\x00WhisperSpec\x00";

/// More dimensions than any variable of a Whisper model has.
const MOST_DIMENSIONS: u8 = 4;

/// The variables of a model, by name; the data stay where they are in the file.
#[derive(Debug)]
pub struct Weights<'a> {
    variables: HashMap<&'a str, Variable<'a>>,
}

#[derive(Debug)]
struct Variable<'a> {
    sizes: Vec<u32>,
    kind: u8,
    data: &'a [u8],
}

impl<'a> Weights<'a> {
    /// Reads a whole `model.bin`.
    ///
    /// # Errors
    /// A fault if the file is not a Whisper model of version 6, ends early, contradicts itself or has bytes left over.
    pub fn read(file: &'a [u8]) -> Result<Weights<'a>, Fault> {
        let rest = file.strip_prefix(BEGINNING).ok_or_else(|| {
            Fault("its weights do not begin as those of a CTranslate2 Whisper model do".to_string())
        })?;
        let mut reader = Reader {
            rest,
            inside: "the head of the weights".to_string(),
        };
        reader.u32()?;
        let count = reader.u32()?;
        let mut variables = HashMap::new();
        for number in 0..count {
            reader.inside = format!("weight {} of {count}", number + 1);
            let name = reader.name()?;
            reader.inside = format!("the weight {name}");
            let variable = reader.variable(name)?;
            if variables.insert(name, variable).is_some() {
                return Err(Fault(format!("it has the weight {name} twice")));
            }
        }
        reader.inside = "the list of aliases".to_string();
        for _ in 0..reader.u32()? {
            reader.name()?;
            let name = reader.name()?;
            if !variables.contains_key(name) {
                return Err(Fault(format!(
                    "an alias stands for the weight {name}, which is not there"
                )));
            }
        }
        match reader.rest.len() {
            0 => Ok(Weights { variables }),
            left => Err(Fault(format!("{left} bytes are left over at its end"))),
        }
    }

    /// The sizes of the model, taken from those of its variables.
    ///
    /// # Errors
    /// A fault if a variable is missing or the sizes are not those of a Whisper model.
    pub fn shape(&self) -> Result<Shape, Fault> {
        let [tokens, text_width] = self.sizes("decoder/embeddings/weight")?;
        let [audio_frames, audio_width] = self.sizes("encoder/position_encodings/encodings")?;
        let [text_length, _] = self.sizes("decoder/position_encodings/encodings")?;
        let [_, mels, _] = self.sizes("encoder/conv1/weight")?;
        let layers = |half: &str| {
            let there = |layer: &u32| {
                self.variables
                    .contains_key(format!("{half}/layer_{layer}/ffn/linear_0/weight").as_str())
            };
            (0..u32::MAX).take_while(there).count() as u32
        };
        let shape = Shape {
            tokens,
            audio_frames,
            audio_width,
            audio_heads: audio_width / HEAD_WIDTH,
            audio_layers: layers("encoder"),
            text_length,
            text_width,
            text_heads: text_width / HEAD_WIDTH,
            text_layers: layers("decoder"),
            mels,
        };
        shape.check()?;
        Ok(shape)
    }

    /// The 16-bit values of a variable, two bytes each, if it has exactly these sizes.
    ///
    /// # Errors
    /// A fault if the variable is missing, has other sizes, or is stored in another type: 8-bit exports have lost
    /// what the published file holds.
    pub fn halves(&self, name: &str, sizes: &[u32]) -> Result<&'a [u8], Fault> {
        let variable = self.variable(name)?;
        if variable.kind != 4 {
            return Err(Fault(format!(
                "the weight {name} is stored as {}, but only float16 models can be converted",
                ["float32", "int8", "int16", "int32"][usize::from(variable.kind.min(3))]
            )));
        }
        if variable.sizes != sizes {
            return Err(Fault(format!(
                "the weight {name} has the sizes {:?} instead of {sizes:?}",
                variable.sizes
            )));
        }
        Ok(variable.data)
    }

    fn variable(&self, name: &str) -> Result<&Variable<'a>, Fault> {
        self.variables
            .get(name)
            .ok_or_else(|| Fault(format!("the weight {name} is missing")))
    }

    fn sizes<const N: usize>(&self, name: &str) -> Result<[u32; N], Fault> {
        let sizes = &self.variable(name)?.sizes;
        <[u32; N]>::try_from(sizes.as_slice()).map_err(|_| {
            Fault(format!(
                "the weight {name} has {} dimensions instead of {N}",
                sizes.len()
            ))
        })
    }
}

/// Takes pieces off the front of the file; `inside` says what is being read, for the message when it ends early.
struct Reader<'a> {
    rest: &'a [u8],
    inside: String,
}

impl<'a> Reader<'a> {
    fn take(&mut self, count: usize) -> Result<&'a [u8], Fault> {
        let (taken, rest) = self
            .rest
            .split_at_checked(count)
            .ok_or_else(|| Fault::ends_early(&self.inside))?;
        self.rest = rest;
        Ok(taken)
    }

    fn array<const N: usize>(&mut self) -> Result<[u8; N], Fault> {
        let (taken, rest) = self
            .rest
            .split_first_chunk()
            .ok_or_else(|| Fault::ends_early(&self.inside))?;
        self.rest = rest;
        Ok(*taken)
    }

    fn u32(&mut self) -> Result<u32, Fault> {
        self.array().map(u32::from_le_bytes)
    }

    fn name(&mut self) -> Result<&'a str, Fault> {
        let length = self.array().map(u16::from_le_bytes)?;
        match self.take(usize::from(length))? {
            [name @ .., 0] if !name.contains(&0) => std::str::from_utf8(name).ok(),
            _ => None,
        }
        .ok_or_else(|| Fault(format!("a name is garbled in {}", self.inside)))
    }

    fn variable(&mut self, name: &str) -> Result<Variable<'a>, Fault> {
        let [rank] = self.array()?;
        if rank > MOST_DIMENSIONS {
            return Err(Fault(format!(
                "the weight {name} claims to have {rank} dimensions"
            )));
        }
        let sizes = (0..rank)
            .map(|_| self.u32())
            .collect::<Result<Vec<u32>, Fault>>()?;
        let [kind] = self.array()?;
        let width: u64 = match kind {
            0 | 3 => 4,
            1 => 1,
            2 | 4 => 2,
            _ => {
                return Err(Fault(format!(
                    "the weight {name} is stored in an unknown type ({kind})"
                )));
            }
        };
        let bytes = self.u32()?;
        let expected = sizes
            .iter()
            .try_fold(width, |product, size| product.checked_mul(u64::from(*size)));
        if expected != Some(u64::from(bytes)) {
            return Err(Fault(format!(
                "the weight {name} claims {bytes} bytes, which does not go with its sizes {sizes:?}"
            )));
        }
        let count = usize::try_from(bytes).map_err(|_| Fault::ends_early(&self.inside))?;
        Ok(Variable {
            sizes,
            kind,
            data: self.take(count)?,
        })
    }
}
