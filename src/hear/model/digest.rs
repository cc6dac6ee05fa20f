//! SHA-1 and SHA-256 of a model's file. whisper.cpp publishes the first; the second is there because SHA-1 alone
//! no longer stands against someone who forges on purpose.

use std::io::{self, Read, Write};

use sha1::{Digest, Sha1};
use sha2::Sha256;

use super::Progress;

/// The digests of a file in lower-case hexadecimal, and its size.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Digests {
    pub sha1: String,
    pub sha256: String,
    pub bytes: u64,
}

/// Passes on what is written to it and digests it on the way.
pub struct Digesting<'a, W> {
    inner: W,
    sha1: Sha1,
    sha256: Sha256,
    bytes: u64,
    progress: &'a mut dyn Progress,
}

impl<'a, W: Write> Digesting<'a, W> {
    /// `progress` is told of every byte.
    pub fn new(inner: W, progress: &'a mut dyn Progress) -> Self {
        Digesting {
            inner,
            sha1: Sha1::new(),
            sha256: Sha256::new(),
            bytes: 0,
            progress,
        }
    }

    /// The digests of everything that was written.
    pub fn finish(self) -> Digests {
        Digests {
            sha1: hex(&self.sha1.finalize()),
            sha256: hex(&self.sha256.finalize()),
            bytes: self.bytes,
        }
    }
}

impl<W: Write> Write for Digesting<'_, W> {
    fn write(&mut self, buffer: &[u8]) -> io::Result<usize> {
        let count = self.inner.write(buffer)?;
        let taken = &buffer[..count];
        self.sha1.update(taken);
        self.sha256.update(taken);
        self.bytes += count as u64;
        self.progress.advance(count as u64);
        Ok(count)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.inner.flush()
    }
}

/// The digests of everything that `source` yields.
pub fn digest(source: &mut impl Read, progress: &mut dyn Progress) -> io::Result<Digests> {
    let mut digesting = Digesting::new(io::sink(), progress);
    let mut buffer = vec![0; 1 << 20];
    loop {
        match source.read(&mut buffer) {
            Ok(0) => return Ok(digesting.finish()),
            Ok(count) => digesting.write_all(&buffer[..count])?,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}
