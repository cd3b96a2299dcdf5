//! A writer that knows the hash of what went through it.

use std::io::{Seek, SeekFrom, Write};

/// A writer that knows the BLAKE3 of what went through it, front to back.
#[derive(Debug)]
pub struct Hashed<W> {
    out: W,
    hasher: blake3::Hasher,
}

impl<W> Hashed<W> {
    /// Nothing has gone through yet.
    #[must_use]
    pub fn new(out: W) -> Hashed<W> {
        Hashed { out, hasher: blake3::Hasher::new() }
    }

    /// The writer, and the hash in hexadecimal digits.
    #[must_use]
    pub fn finish(self) -> (W, String) {
        (self.out, self.hasher.finalize().to_hex().to_string())
    }
}

impl<W: Write> Write for Hashed<W> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let count = self.out.write(bytes)?;
        self.hasher.update(&bytes[..count]);
        Ok(count)
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.out.flush()
    }
}

impl<W: Seek> Seek for Hashed<W> {
    /// A file that is gone back into has no hash from front to back: no format here does.
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        match to {
            SeekFrom::Current(0) => self.out.stream_position(),
            _ => Err(std::io::Error::from(std::io::ErrorKind::Unsupported)),
        }
    }
}
