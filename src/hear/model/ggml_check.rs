//! Walks through a ggml Whisper file without loading it, and says whether it is whole and of the form that
//! whisper.cpp expects. Its loader takes sizes on trust: a damaged file makes it read outside its memory or stop
//! the program, so no file reaches it that has not passed here.
//!
//! Only the sizes, the names and, if wanted, the tokens are read; the values are stepped over.

use std::collections::HashMap;
use std::io::{BufReader, Read, Seek};

use super::Fault;
use super::ggml_write::MAGIC;
use super::layout::{Class, Tensor, layout};
use super::mel_filters::FREQUENCIES;
use super::shape::Shape;
use super::vocabulary::{LEAST_TOKENS, LONGEST_TOKEN, Tokens};

/// Checks the form of a file that is `length` bytes long, and returns its sizes.
///
/// # Errors
/// A fault if the file ends early, goes on too long, or has a size, a name or a type that a Whisper file can't have.
pub fn check(file: impl Read + Seek, length: u64) -> Result<Shape, Fault> {
    walk(file, length, &mut |_| ()).map(|walked| walked.shape)
}

/// A tensor's values in a file.
#[derive(Clone, Debug)]
pub struct Place {
    /// Which tensor, and its sizes.
    pub tensor: Tensor,
    /// Where its first value begins.
    pub offset: u64,
    /// Whether its values are 16-bit; else they are 32-bit.
    pub halves: bool,
}

/// Checks the form of a file as [`check`] does, and returns where each tensor lies.
///
/// # Errors
/// As [`check`]; also if the file is quantised, because such values can't be changed one by one.
pub fn places(file: impl Read + Seek, length: u64) -> Result<Vec<Place>, Fault> {
    let walked = walk(file, length, &mut |_| ())?;
    match walked.matrix == HALF {
        true => Ok(walked.places),
        false => Err(Fault("its values are not stored in 16 bits".to_string())),
    }
}

/// Checks the form of a file as [`check`] does, and returns the tokens that it spells out, in the order of their
/// numbers.
///
/// # Errors
/// As [`check`].
pub fn vocabulary(file: impl Read + Seek, length: u64) -> Result<Tokens, Fault> {
    let mut tokens = Tokens::new();
    walk(file, length, &mut |token| tokens.push(token.to_vec()))?;
    Ok(tokens)
}

/// Walks through the whole file and shows each token to `each_token`.
fn walk(file: impl Read + Seek, length: u64, each_token: &mut dyn FnMut(&[u8])) -> Result<Walked, Fault> {
    let mut walk = Walk {
        file: BufReader::new(file),
        length,
        left: length,
        inside: "its head".to_string(),
    };
    if length == 0 {
        return Err(Fault("it is empty".to_string()));
    }
    if walk.u32()? != MAGIC {
        return Err(Fault("it does not begin as a ggml Whisper file does".to_string()));
    }
    let mut header = [0; 10];
    for size in &mut header {
        *size = walk.u32()?;
    }
    let shape = Shape::from_header(header);
    shape.check()?;
    let matrix = matrix_type(walk.u32()?)?;
    walk.mel_filters(&shape)?;
    walk.vocabulary(&shape, each_token)?;
    let places = walk.tensors(&shape, matrix)?;
    Ok(Walked {
        shape,
        matrix,
        places,
    })
}

/// What was seen on the way through a file.
struct Walked {
    shape: Shape,
    matrix: Type,
    places: Vec<Place>,
}

/// A way of storing values: its number in the file, and how many bytes hold a block of how many values.
#[derive(Clone, Copy, PartialEq)]
struct Type {
    number: u32,
    block_values: u64,
    block_bytes: u64,
}

const FULL: Type = Type {
    number: 0,
    block_values: 1,
    block_bytes: 4,
};
const HALF: Type = Type {
    number: 1,
    block_values: 1,
    block_bytes: 2,
};

/// The type of the matrices in a file of this type (`ggml_ftype` and `block_*` in ggml). The thousands are the
/// version of the quantisation. Rarer types, which no tool makes of Whisper models, are refused.
fn matrix_type(file_type: u32) -> Result<Type, Fault> {
    let quantised = |number, block_bytes| Type {
        number,
        block_values: 32,
        block_bytes,
    };
    match file_type % 1000 {
        0 => Ok(FULL),
        1 => Ok(HALF),
        2 => Ok(quantised(2, 18)),
        3 => Ok(quantised(3, 20)),
        7 => Ok(quantised(8, 34)),
        8 => Ok(quantised(6, 22)),
        9 => Ok(quantised(7, 24)),
        _ => Err(Fault(format!(
            "its values are stored in a way that is not known here (type {file_type})"
        ))),
    }
}

struct Walk<R> {
    file: BufReader<R>,
    length: u64,
    /// Bytes between here and the end of the file.
    left: u64,
    /// What is being read, for the message when the file ends early.
    inside: String,
}

impl<R: Read + Seek> Walk<R> {
    fn take(&mut self, buffer: &mut [u8]) -> Result<(), Fault> {
        let left = self
            .left
            .checked_sub(buffer.len() as u64)
            .ok_or_else(|| Fault::ends_early(&self.inside))?;
        self.file
            .read_exact(buffer)
            .map_err(|error| self.unreadable(error))?;
        self.left = left;
        Ok(())
    }

    fn step_over(&mut self, bytes: u64) -> Result<(), Fault> {
        let left = self
            .left
            .checked_sub(bytes)
            .ok_or_else(|| Fault::ends_early(&self.inside))?;
        let offset = i64::try_from(bytes).map_err(|_| Fault::ends_early(&self.inside))?;
        self.file
            .seek_relative(offset)
            .map_err(|error| self.unreadable(error))?;
        self.left = left;
        Ok(())
    }

    fn unreadable(&self, error: std::io::Error) -> Fault {
        Fault(format!("it can't be read in {} ({error})", self.inside))
    }

    fn u32(&mut self) -> Result<u32, Fault> {
        let mut bytes = [0; 4];
        self.take(&mut bytes)?;
        Ok(u32::from_le_bytes(bytes))
    }

    fn mel_filters(&mut self, shape: &Shape) -> Result<(), Fault> {
        self.inside = "the mel filters".to_string();
        let (bands, frequencies) = (self.u32()?, self.u32()?);
        if (bands, frequencies) != (shape.mels, FREQUENCIES as u32) {
            return Err(Fault(format!("its mel filters are {bands} by {frequencies}")));
        }
        self.step_over(4 * u64::from(bands) * u64::from(frequencies))
    }

    fn vocabulary(&mut self, shape: &Shape, each_token: &mut dyn FnMut(&[u8])) -> Result<(), Fault> {
        self.inside = "the vocabulary".to_string();
        let count = self.u32()?;
        if !(LEAST_TOKENS..=shape.tokens).contains(&count) {
            return Err(Fault(format!("its vocabulary claims {count} tokens")));
        }
        let mut token = [0; LONGEST_TOKEN as usize];
        for _ in 0..count {
            let length = self.u32()?;
            let Some(token) = token.get_mut(..length as usize) else {
                return Err(Fault(format!("a token of its vocabulary claims {length} bytes")));
            };
            self.take(token)?;
            each_token(token);
        }
        Ok(())
    }

    fn tensors(&mut self, shape: &Shape, matrix: Type) -> Result<Vec<Place>, Fault> {
        let mut places = Vec::new();
        let mut missing: HashMap<String, Tensor> = layout(shape)
            .into_iter()
            .map(|tensor| (tensor.name.clone(), tensor))
            .collect();
        while self.left > 0 {
            self.inside = "the head of a weight".to_string();
            let (dimensions, name_length, number) = (self.u32()?, self.u32()?, self.u32()?);
            if !(1..=3).contains(&dimensions) || !(1..=64).contains(&name_length) {
                return Err(Fault(format!(
                    "the head of a weight claims {dimensions} dimensions and a name of {name_length} bytes"
                )));
            }
            let mut sizes = (0..dimensions)
                .map(|_| self.u32())
                .collect::<Result<Vec<u32>, Fault>>()?;
            sizes.reverse();
            let mut name = vec![0; name_length as usize];
            self.take(&mut name)?;
            let name = String::from_utf8_lossy(&name);
            let tensor = missing.remove(name.as_ref()).ok_or_else(|| {
                Fault(format!(
                    "it has the weight {name:?} twice, or no Whisper model has it"
                ))
            })?;
            let offset = self.length - self.left;
            self.tensor(&tensor, &sizes, number, matrix)?;
            places.push(Place {
                tensor,
                offset,
                halves: number == HALF.number,
            });
        }
        match missing.into_keys().min() {
            Some(name) => Err(Fault(format!(
                "the weight {name} is missing, so it was not copied or downloaded whole"
            ))),
            None => Ok(places),
        }
    }

    fn tensor(&mut self, tensor: &Tensor, sizes: &[u32], number: u32, matrix: Type) -> Result<(), Fault> {
        let name = &tensor.name;
        if tensor.sizes != sizes {
            return Err(Fault(format!(
                "the weight {name} has the sizes {sizes:?} instead of {:?}",
                tensor.sizes
            )));
        }
        let kind = match tensor.class {
            Class::Full => FULL,
            Class::Filter if matrix == FULL => FULL,
            Class::Filter => HALF,
            Class::Matrix => matrix,
        };
        if number != kind.number {
            return Err(Fault(format!(
                "the weight {name} is stored in type {number} instead of {}",
                kind.number
            )));
        }
        // A row is a multiple of 64 values in every matrix, so blocks of 32 divide it.
        self.inside = format!("the weight {name}");
        self.step_over(tensor.values() / kind.block_values * kind.block_bytes)
    }
}
