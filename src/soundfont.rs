//! The SoundFont that the program carries: our own, computed, free to use for anything (CC0).

use crate::sound::{SoundError, SoundFont};

/// The file that `soundfonts-free` computes.
pub const EMBEDDED: &[u8] = include_bytes!("../soundfonts-free/countoff-trio.sf2");

/// The same, opened.
///
/// # Errors
/// Never, unless the binary was built with a damaged file.
pub fn embedded() -> Result<SoundFont, SoundError> {
    SoundFont::open(std::io::Cursor::new(EMBEDDED))
}
