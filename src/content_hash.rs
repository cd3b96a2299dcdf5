//! What something is made of, as a hash: the same hash, the same content.

use std::hash::Hasher;
use std::io::Read;

/// BLAKE3 behind the interface of the standard library's hashers: unlike theirs, its result is
/// the same in every version.
pub(crate) struct ContentHasher(blake3::Hasher);

impl ContentHasher {
    pub(crate) fn new() -> ContentHasher {
        ContentHasher(blake3::Hasher::new())
    }

    pub(crate) fn text(&mut self, text: &str) {
        self.write_usize(text.len());
        self.write(text.as_bytes());
    }

    /// Takes in all that there is to be read, piece by piece: how many bytes it was.
    pub(crate) fn read(&mut self, source: impl Read) -> std::io::Result<u64> {
        let before = self.0.count();
        self.0.update_reader(source)?;
        Ok(self.0.count() - before)
    }

    pub(crate) fn content(&self) -> [u8; 32] {
        *self.0.finalize().as_bytes()
    }
}

impl Hasher for ContentHasher {
    fn write(&mut self, bytes: &[u8]) {
        self.0.update(bytes);
    }

    /// Not used: [`ContentHasher::content`] gives the whole hash.
    fn finish(&self) -> u64 {
        0
    }
}
