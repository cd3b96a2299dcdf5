//! A writer that knows the hash of what went through it.

use std::io::{Read, Seek, SeekFrom, Write};

/// A writer that knows the BLAKE3 of what it holds in the end. A format that is written from front
/// to back is hashed on the way; one that goes back to complete its head is read once more.
#[derive(Debug)]
pub struct Hashed<W> {
    out: W,
    hasher: blake3::Hasher,
    gone_back: bool,
}

impl<W> Hashed<W> {
    /// Nothing has gone through yet.
    #[must_use]
    pub fn new(out: W) -> Hashed<W> {
        Hashed { out, hasher: blake3::Hasher::new(), gone_back: false }
    }
}

impl<W: Read + Seek> Hashed<W> {
    /// The writer, at its end, and the hash in hexadecimal digits.
    ///
    /// # Errors
    /// What had to be read once more cannot be.
    pub fn finish(mut self) -> std::io::Result<(W, String)> {
        if self.gone_back {
            self.hasher.reset();
            self.out.rewind()?;
            self.hasher.update_reader(&mut self.out)?;
        }
        Ok((self.out, self.hasher.finalize().to_hex().to_string()))
    }
}

impl<W: Write> Write for Hashed<W> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let count = self.out.write(bytes)?;
        if !self.gone_back {
            self.hasher.update(&bytes[..count]);
        }
        Ok(count)
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.out.flush()
    }
}

impl<W: Seek> Seek for Hashed<W> {
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        self.gone_back |= to != SeekFrom::Current(0);
        self.out.seek(to)
    }
}

/// BLAKE3 of all that there is to be read, in hexadecimal digits.
///
/// # Errors
/// It cannot be read.
pub(super) fn hash_of(content: impl Read) -> std::io::Result<String> {
    let mut hasher = blake3::Hasher::new();
    hasher.update_reader(content)?;
    Ok(hasher.finalize().to_hex().to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    #[test]
    fn the_hash_is_that_of_the_bytes_in_the_end() {
        let mut straight = Hashed::new(Cursor::new(Vec::new()));
        straight.write_all(b"head and samples").unwrap();
        let mut patched = Hashed::new(Cursor::new(Vec::new()));
        patched.write_all(b"____ and samples").unwrap();
        patched.seek(SeekFrom::Start(0)).unwrap();
        patched.write_all(b"head").unwrap();
        patched.seek(SeekFrom::End(0)).unwrap();
        let expected = blake3::hash(b"head and samples").to_hex().to_string();
        for hashed in [straight, patched] {
            let (out, hash) = hashed.finish().unwrap();
            assert_eq!(hash, expected);
            assert_eq!(out.into_inner(), b"head and samples");
        }
    }
}
