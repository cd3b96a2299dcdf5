//! What something is made of, as a hash: the same hash, the same content.

use std::hash::Hasher;
use std::io::Read;

/// BLAKE3 behind the interface of the standard library's hashers: unlike theirs, its result is
/// the same in every version.
#[derive(Default)]
pub struct ContentHasher {
    hasher: blake3::Hasher,
    /// What is yet to be taken in: much at a time takes a tenth of what many little pieces take.
    waiting: Vec<u8>,
}

/// Bytes that wait until there are so many.
const GATHERED: usize = 1 << 14;

impl ContentHasher {
    /// Of nothing yet.
    #[must_use]
    pub fn new() -> ContentHasher {
        ContentHasher { hasher: blake3::Hasher::new(), waiting: Vec::new() }
    }

    /// Takes in a text with its length, so that no two lists of texts are the same.
    pub fn text(&mut self, text: &str) {
        self.write_usize(text.len());
        self.write(text.as_bytes());
    }

    /// Takes in all that there is to be read, piece by piece: how many bytes it was.
    ///
    /// # Errors
    /// What reading meets.
    pub fn read(&mut self, source: impl Read) -> std::io::Result<u64> {
        self.take_in();
        let before = self.hasher.count();
        self.hasher.update_reader(source)?;
        Ok(self.hasher.count() - before)
    }

    /// The hash of all that was taken in.
    #[must_use]
    pub fn content(mut self) -> [u8; 32] {
        self.take_in();
        *self.hasher.finalize().as_bytes()
    }

    fn take_in(&mut self) {
        self.hasher.update(&self.waiting);
        self.waiting.clear();
    }
}

impl Hasher for ContentHasher {
    fn write(&mut self, bytes: &[u8]) {
        self.waiting.extend_from_slice(bytes);
        if self.waiting.len() >= GATHERED {
            self.take_in();
        }
    }

    /// Not used: [`ContentHasher::content`] gives the whole hash.
    fn finish(&self) -> u64 {
        0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn little_pieces_and_large_ones_make_the_hash_of_the_whole() {
        let bytes: Vec<u8> = (0..3 * GATHERED + 5).map(|at| at.to_le_bytes()[0]).collect();
        for length in [1, 300, GATHERED, bytes.len()] {
            let mut hasher = ContentHasher::new();
            let (first, rest) = bytes.split_at(GATHERED / 2);
            let (read, rest) = rest.split_at(GATHERED);
            first.chunks(length).for_each(|piece| hasher.write(piece));
            assert_eq!(hasher.read(read).unwrap(), read.len() as u64);
            rest.chunks(length).for_each(|piece| hasher.write(piece));
            assert_eq!(&hasher.content(), blake3::hash(&bytes).as_bytes(), "pieces of {length}");
        }
    }
}
