//! A change of a model's weights, as a safetensors file: whole numbers of 8 bits and their scales.
//!
//! ```text
//! matrices       NAME.up, NAME.down, NAME.up_scale, NAME.down_scale
//!                new[i][j] = stock[i][j] + up_scale[i] · down_scale[j] · sum over r of up[i][r] · down[r][j]
//! convolutions   NAME.change, NAME.scale       new[i]… = stock[i]… + scale[i] · change[i]…
//! vectors        NAME.add                      new = stock + add
//! ```
//! The sum is of whole numbers and therefore exact; every other operation is rounded to 32 bits, the product of the
//! scales first, and the result to the type in which the model keeps it. So the changed file is the same to the last bit on
//! every computer, and its digest can be published. `models-readme/adapt/pack.py` writes such files and does the same sums.

use std::collections::BTreeSet;
use std::io::Cursor;

use half::f16;
use safetensors::tensor::{Dtype, SafeTensors};

use super::Fault;
use super::ggml_check::{Place, places};

/// The largest rank of a change that is taken: the narrowest matrix of the largest model has fewer columns.
const MOST_RANK: usize = 1280;

/// A change, read and ready to be applied.
pub struct Change<'a> {
    tensors: SafeTensors<'a>,
    base_sha256: String,
}

impl<'a> Change<'a> {
    /// Reads a whole file.
    ///
    /// # Errors
    /// A fault if it is no safetensors file, or does not say which model it is for.
    pub fn read(file: &'a [u8]) -> Result<Change<'a>, Fault> {
        let unreadable = |error| Fault(format!("the change of its weights can't be read ({error})"));
        let tensors = SafeTensors::deserialize(file).map_err(unreadable)?;
        let (_, head) = SafeTensors::read_metadata(file).map_err(unreadable)?;
        let base = head
            .metadata()
            .as_ref()
            .and_then(|about| about.get("base_sha256"));
        Ok(Change {
            base_sha256: base
                .ok_or_else(|| Fault("the change does not say which model it is for".to_string()))?
                .clone(),
            tensors,
        })
    }

    /// SHA-256 of the file that it changes, in lower-case hexadecimal.
    pub fn base_sha256(&self) -> &str {
        &self.base_sha256
    }

    /// Changes the bytes of a ggml file.
    ///
    /// # Errors
    /// A fault if the file is no 16-bit ggml model, if a part of the change is missing, is of another type or size than its
    /// tensor, belongs to none, or makes a value that is no number; then some of `model` may be changed already.
    pub fn apply(&self, model: &mut [u8]) -> Result<(), Fault> {
        let places = places(Cursor::new(&*model), model.len() as u64)?;
        let mut unused: BTreeSet<&str> = self.tensors.names().into_iter().collect();
        for place in &places {
            if let Some(by) = self.of(place, &mut unused)? {
                add(model, place, &by)?;
            }
        }
        match unused.into_iter().next() {
            Some(name) => Err(Fault(format!(
                "the change has {name:?}, which belongs to no weight of the model"
            ))),
            None => Ok(()),
        }
    }

    /// What is added to each value of a tensor; `None` if it stays as it is.
    fn of(&self, place: &Place, unused: &mut BTreeSet<&str>) -> Result<Option<Vec<f32>>, Fault> {
        let tensor = &place.tensor;
        let sizes: Vec<usize> = tensor.sizes.iter().map(|&size| size as usize).collect();
        let has = |part: &str| self.tensors.tensor(&format!("{}.{part}", tensor.name)).is_ok();
        let mut used = |part: &str| unused.remove(format!("{}.{part}", tensor.name).as_str());
        if has("add") {
            used("add");
            return self.numbers(&tensor.name, "add", &sizes).map(Some);
        }
        if has("change") {
            used("change");
            used("scale");
            let whole = self.whole(&tensor.name, "change", &sizes)?;
            let scale = self.numbers(&tensor.name, "scale", &sizes[..1])?;
            let row = whole.len() / sizes[0];
            let values = whole.iter().zip(0..);
            return Ok(Some(
                values
                    .map(|(&value, at): (&i8, usize)| scale[at / row] * f32::from(value))
                    .collect(),
            ));
        }
        match (has("up"), sizes.as_slice()) {
            (true, &[rows, columns]) => {
                for part in ["up", "down", "up_scale", "down_scale"] {
                    used(part);
                }
                self.product(&tensor.name, rows, columns).map(Some)
            }
            _ => Ok(None),
        }
    }

    fn product(&self, name: &str, rows: usize, columns: usize) -> Result<Vec<f32>, Fault> {
        let rank = match self.tensors.tensor(&format!("{name}.up")) {
            Ok(up) => up.shape().last().copied().unwrap_or(0),
            Err(_) => 0,
        };
        if rank > MOST_RANK {
            return Err(Fault(format!("the change of {name} claims the rank {rank}")));
        }
        let up = self.whole(name, "up", &[rows, rank])?;
        let down = self.whole(name, "down", &[rank, columns])?;
        let up_scale = self.numbers(name, "up_scale", &[rows])?;
        let down_scale = self.numbers(name, "down_scale", &[columns])?;
        let mut by = Vec::with_capacity(rows * columns);
        let mut sums = vec![0_i32; columns];
        for row in 0..rows {
            sums.fill(0);
            for r in 0..rank {
                let times = i32::from(up[row * rank + r]);
                for (sum, &value) in sums.iter_mut().zip(&down[r * columns..][..columns]) {
                    *sum += times * i32::from(value);
                }
            }
            // Below 2^24 a whole number is exact in 32 bits: the rank is at most 1024 times 127².
            let scaled = sums.iter().zip(&down_scale);
            by.extend(scaled.map(|(&sum, scale)| (up_scale[row] * scale) * sum as f32));
        }
        Ok(by)
    }

    fn part(&self, name: &str, part: &str, kind: Dtype, sizes: &[usize]) -> Result<&'a [u8], Fault> {
        let view = self
            .tensors
            .tensor(&format!("{name}.{part}"))
            .map_err(|_| Fault(format!("the change of {name} lacks its part {part:?}")))?;
        if view.dtype() != kind || view.shape() != sizes {
            return Err(Fault(format!(
                "the part {part:?} of the change of {name} is {:?} {:?} instead of {kind:?} {sizes:?}",
                view.dtype(),
                view.shape()
            )));
        }
        Ok(view.data())
    }

    fn whole(&self, name: &str, part: &str, sizes: &[usize]) -> Result<Vec<i8>, Fault> {
        let bytes = self.part(name, part, Dtype::I8, sizes)?;
        Ok(bytes.iter().map(|&byte| byte as i8).collect())
    }

    fn numbers(&self, name: &str, part: &str, sizes: &[usize]) -> Result<Vec<f32>, Fault> {
        let bytes = self.part(name, part, Dtype::F32, sizes)?;
        let (numbers, _) = bytes.as_chunks::<4>();
        Ok(numbers.iter().map(|&bytes| f32::from_le_bytes(bytes)).collect())
    }
}

/// Adds to each value of a tensor.
fn add(model: &mut [u8], place: &Place, by: &[f32]) -> Result<(), Fault> {
    let width = if place.halves { 2 } else { 4 };
    // The walk through the file has seen that the tensor lies in it whole.
    let values = &mut model[place.offset as usize..][..by.len() * width];
    for (value, by) in values.chunks_exact_mut(width).zip(by) {
        let finite = match value {
            [a, b] => {
                let sum = f16::from_f32(f16::from_le_bytes([*a, *b]).to_f32() + by);
                [*a, *b] = sum.to_le_bytes();
                sum.is_finite()
            }
            [a, b, c, d] => {
                let sum = f32::from_le_bytes([*a, *b, *c, *d]) + by;
                [*a, *b, *c, *d] = sum.to_le_bytes();
                sum.is_finite()
            }
            _ => false,
        };
        if !finite {
            return Err(Fault(format!(
                "the change makes a value of {} that is no number",
                place.tensor.name
            )));
        }
    }
    Ok(())
}
