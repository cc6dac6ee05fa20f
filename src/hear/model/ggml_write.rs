//! Writes a Whisper model in whisper.cpp's ggml form. From the weights of a published model this gives, byte for
//! byte, the published file.

use std::io::{self, Write};

use super::Fault;
use super::ct2::Weights;
use super::layout::{Class, Tensor, layout};
use super::mel_filters::{FREQUENCIES, mel_filters};
use super::shape::Shape;
use super::vocabulary::{self, Tokens};

/// How a ggml file begins: "ggml" as a little-endian number.
pub const MAGIC: u32 = 0x6767_6d6c;

/// The file's type when its matrices are 16-bit.
pub const HALF_FILE: u32 = 1;

/// A conversion of which everything has been checked: only writing it can still fail.
pub struct Conversion<'a> {
    shape: Shape,
    tokens: &'a Tokens,
    tensors: Vec<(Tensor, &'a [u8])>,
}

impl<'a> Conversion<'a> {
    /// Finds every tensor of the model among the weights.
    ///
    /// # Errors
    /// A fault if one is missing or has other sizes than its model's, or the vocabulary does not go with it.
    pub fn new(weights: &Weights<'a>, tokens: &'a Tokens) -> Result<Conversion<'a>, Fault> {
        let shape = weights.shape()?;
        vocabulary::check(tokens, &shape)?;
        let tensors = layout(&shape)
            .into_iter()
            .map(|tensor| {
                let halves = find(weights, &tensor)?;
                Ok((tensor, halves))
            })
            .collect::<Result<_, Fault>>()?;
        Ok(Conversion {
            shape,
            tokens,
            tensors,
        })
    }

    /// Size of the file.
    pub fn bytes(&self) -> u64 {
        let head = 4 * (1 + 10 + 1) + 4 * (2 + u64::from(self.shape.mels) * FREQUENCIES as u64);
        let tokens: u64 = self.tokens.iter().map(|token| 4 + token.len() as u64).sum();
        let tensor = |(tensor, _): &(Tensor, &[u8])| {
            let width = if tensor.class == Class::Full { 4 } else { 2 };
            4 * (3 + tensor.sizes.len() as u64) + tensor.name.len() as u64 + width * tensor.values()
        };
        head + 4 + tokens + self.tensors.iter().map(tensor).sum::<u64>()
    }

    /// Writes the file.
    ///
    /// # Errors
    /// Whatever `out` fails with.
    pub fn write(&self, out: &mut dyn Write) -> io::Result<()> {
        numbers(out, &[MAGIC])?;
        numbers(out, &self.shape.to_header())?;
        numbers(out, &[HALF_FILE])?;
        numbers(out, &[self.shape.mels, FREQUENCIES as u32])?;
        for value in mel_filters(self.shape.mels) {
            out.write_all(&value.to_le_bytes())?;
        }
        numbers(out, &[self.tokens.len() as u32])?;
        for token in self.tokens {
            numbers(out, &[token.len() as u32])?;
            out.write_all(token)?;
        }
        self.tensors
            .iter()
            .try_for_each(|(tensor, halves)| write_tensor(out, tensor, halves))
    }
}

/// The part of the variable that holds the tensor.
fn find<'a>(weights: &Weights<'a>, tensor: &Tensor) -> Result<&'a [u8], Fault> {
    let (part, parts) = tensor.part;
    let mut sizes = tensor.sizes.clone();
    sizes[0] *= parts;
    // The bias of a convolution is a vector there and a matrix of one column here.
    if sizes[1..] == [1] {
        sizes.pop();
    }
    let halves = weights.halves(&tensor.variable, &sizes)?;
    let length = halves.len() / parts as usize;
    Ok(&halves[part as usize * length..][..length])
}

fn write_tensor(out: &mut dyn Write, tensor: &Tensor, halves: &[u8]) -> io::Result<()> {
    let full = tensor.class == Class::Full;
    numbers(
        out,
        &[
            tensor.sizes.len() as u32,
            tensor.name.len() as u32,
            u32::from(!full),
        ],
    )?;
    for size in tensor.sizes.iter().rev() {
        numbers(out, &[*size])?;
    }
    out.write_all(tensor.name.as_bytes())?;
    if !full {
        return out.write_all(halves);
    }
    for half in halves.chunks_exact(2) {
        let value = half::f16::from_le_bytes([half[0], half[1]]);
        out.write_all(&value.to_f32().to_le_bytes())?;
    }
    Ok(())
}

fn numbers(out: &mut dyn Write, numbers: &[u32]) -> io::Result<()> {
    numbers
        .iter()
        .try_for_each(|number| out.write_all(&number.to_le_bytes()))
}
