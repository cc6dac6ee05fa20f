//! A change of a model's weights: what it makes, by hand; and what is wrong with one that does not fit or is damaged.

use std::collections::HashMap;
use std::io::Cursor;

use couchside::hear::model::catalogue;
use couchside::hear::model::change::Change;
use couchside::hear::model::ggml_check::{self, Place};
use half::f16;
use safetensors::tensor::{Dtype, TensorView, serialize};

use super::synthetic;

/// A part of a change: its name, type, sizes and bytes.
pub type Part = (&'static str, Dtype, Vec<usize>, Vec<u8>);

const MATRIX: &str = "encoder.blocks.0.attn.query.weight";

fn floats(values: impl IntoIterator<Item = f32>) -> Vec<u8> {
    values.into_iter().flat_map(f32::to_le_bytes).collect()
}

fn bytes(count: usize, of: impl Fn(usize) -> i8) -> Vec<u8> {
    (0..count).map(|at| of(at) as u8).collect()
}

/// A change of each kind for the synthetic model.
pub fn parts() -> Vec<Part> {
    vec![
        (
            "encoder.blocks.0.attn.query.weight.up",
            Dtype::I8,
            vec![64, 2],
            bytes(128, |at| at as i8),
        ),
        (
            "encoder.blocks.0.attn.query.weight.down",
            Dtype::I8,
            vec![2, 64],
            bytes(128, |at| 63 - at as i8),
        ),
        (
            "encoder.blocks.0.attn.query.weight.up_scale",
            Dtype::F32,
            vec![64],
            floats((0..64).map(|row| 1e-3 + row as f32 * 1e-5)),
        ),
        (
            "encoder.blocks.0.attn.query.weight.down_scale",
            Dtype::F32,
            vec![64],
            floats((0..64).map(|column| 1e-2 - column as f32 * 1e-4)),
        ),
        (
            "encoder.conv1.weight.change",
            Dtype::I8,
            vec![64, 80, 3],
            bytes(64 * 240, |at| (at % 255) as i8),
        ),
        (
            "encoder.conv1.weight.scale",
            Dtype::F32,
            vec![64],
            floats([0.002; 64]),
        ),
        (
            "decoder.ln.bias.add",
            Dtype::F32,
            vec![64],
            floats((0..64).map(|at| at as f32)),
        ),
    ]
}

/// A safetensors file of these parts.
pub fn file(parts: &[Part]) -> Vec<u8> {
    let views: Vec<(&str, TensorView)> = parts
        .iter()
        .map(|(name, kind, sizes, data)| (*name, TensorView::new(*kind, sizes.clone(), data).unwrap()))
        .collect();
    let about = HashMap::from([("base_sha256".to_string(), "abc".to_string())]);
    serialize(views, Some(about)).unwrap()
}

fn places(model: &[u8]) -> Vec<Place> {
    ggml_check::places(Cursor::new(model), model.len() as u64).unwrap()
}

fn values(model: &[u8], name: &str) -> Vec<f32> {
    let places = places(model);
    let place = places.iter().find(|place| place.tensor.name == name).unwrap();
    let count = place.tensor.values() as usize;
    let from = &model[place.offset as usize..];
    match place.halves {
        true => (0..count)
            .map(|at| f16::from_le_bytes([from[2 * at], from[2 * at + 1]]).to_f32())
            .collect(),
        false => (0..count)
            .map(|at| f32::from_le_bytes(from[4 * at..][..4].try_into().unwrap()))
            .collect(),
    }
}

#[test]
fn every_kind_of_change_is_added_to_its_weight_and_nothing_else_is_touched() {
    let before = synthetic::ggml();
    let mut after = before.clone();
    let file = file(&parts());
    let change = Change::read(&file).unwrap();
    assert_eq!(change.base_sha256(), "abc");
    change.apply(&mut after).unwrap();

    let (was, is) = (values(&before, MATRIX), values(&after, MATRIX));
    // Row 3, column 5: (6 · 58 + 7 · −6) · 0.00103 · 0.0095.
    let by = (6.0 * 58.0 - 7.0 * 6.0) * 0.00103 * 0.0095;
    let at = 3 * 64 + 5;
    assert!(
        (is[at] - was[at] - by).abs() < 1e-3,
        "{} {} {by}",
        was[at],
        is[at]
    );
    let name = "encoder.conv1.weight";
    let (was, is) = (values(&before, name), values(&after, name));
    assert_eq!(is[100], f16::from_f32(was[100] + 0.2).to_f32());
    let name = "decoder.ln.bias";
    let (was, is) = (values(&before, name), values(&after, name));
    assert_eq!(is[7], was[7] + 7.0);

    let changed = [MATRIX, "encoder.conv1.weight", "decoder.ln.bias"];
    for place in places(&before) {
        let name = place.tensor.name.as_str();
        let same = values(&before, name) == values(&after, name);
        assert_eq!(same, !changed.contains(&name), "{name}");
    }
    assert!(ggml_check::check(Cursor::new(&after), after.len() as u64).is_ok());
}

#[test]
fn a_change_that_does_not_fit_is_refused() {
    type Spoil = fn(&mut Vec<Part>);
    let spoilt: [(Spoil, &str); 7] = [
        (
            |parts| parts[0].1 = Dtype::U8,
            "the part \"up\" of the change of encoder.blocks.0.attn.query.weight is U8 [64, 2] instead of I8 [64, 2]",
        ),
        (
            |parts| parts[1].2 = vec![64, 2],
            "the part \"down\" of the change of encoder.blocks.0.attn.query.weight is I8 [64, 2] instead of I8 [2, 64]",
        ),
        (
            |parts| drop(parts.remove(3)),
            "the change of encoder.blocks.0.attn.query.weight lacks its part \"down_scale\"",
        ),
        (
            |parts| parts[5].3 = floats([f32::NAN; 64]),
            "the change makes a value of encoder.conv1.weight that is no number",
        ),
        (
            |parts| parts[5].3 = floats([1e30; 64]),
            "the change makes a value of encoder.conv1.weight that is no number",
        ),
        (
            |parts| parts[6].0 = "decoder.other.add",
            "the change has \"decoder.other.add\", which belongs to no weight of the model",
        ),
        (
            |parts| drop(parts.remove(0)),
            "the change has \"encoder.blocks.0.attn.query.weight.down\", which belongs to no weight of the model",
        ),
    ];
    let stock = synthetic::ggml();
    for (spoil, message) in spoilt {
        let mut parts = parts();
        spoil(&mut parts);
        let file = file(&parts);
        let error = Change::read(&file)
            .unwrap()
            .apply(&mut stock.clone())
            .unwrap_err();
        assert_eq!(error.to_string(), message);
    }
}

#[test]
fn what_is_no_change_is_refused() {
    let whole = file(&parts());
    for file in [&b""[..], b"ggml", &whole[..whole.len() - 1], &[0xff; 64]] {
        let error = Change::read(file).err().unwrap().to_string();
        assert!(
            error.starts_with("the change of its weights can't be read ("),
            "{error}"
        );
    }
    let nameless = serialize(std::iter::empty::<(&str, TensorView)>(), None).unwrap();
    let error = Change::read(&nameless).err().unwrap();
    assert_eq!(error.to_string(), "the change does not say which model it is for");
}

#[test]
fn every_adapted_model_has_its_change_and_that_of_its_base() {
    let adapted: Vec<_> = catalogue::models()
        .iter()
        .filter_map(|model| Some((model, model.adapted.as_ref()?)))
        .collect();
    assert!(!adapted.is_empty());
    for (model, adapted) in adapted {
        let (bytes, _) = couchside::hear::model::adapt::change_of(model).unwrap();
        assert_eq!(bytes.len() as u64, adapted.change_bytes, "{}", model.name);
        let base = catalogue::by_name(&adapted.from).unwrap();
        assert_eq!(Change::read(bytes).unwrap().base_sha256(), base.sha256);
        assert_eq!(model.bytes, base.bytes);
    }
}
