//! One bus as it was heard, to be heard again: in a file.

use std::fs::File;
use std::io::{Error, ErrorKind, IoSlice, Read, Result, Seek, Write};
use std::sync::Arc;

use super::block::{BLOCK, Block};

/// The blocks of a bus from the first on.
pub(super) struct Tape {
    file: File,
    /// For each block whether it is in the file: silence is not.
    sounds: Vec<bool>,
}

impl Tape {
    /// A tape without blocks, on an empty file.
    pub(super) fn new(file: File) -> Tape {
        Tape { file, sounds: Vec::new() }
    }

    /// Adds a block.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub(super) fn push(&mut self, block: &Block) -> Result<()> {
        if block.sounds {
            let [left, right] = block.channels().map(pulp::bytemuck::cast_slice);
            write_both(&mut self.file, left, right)?;
        }
        self.sounds.push(block.sounds);
        Ok(())
    }

    /// Plays it from its beginning. Only one player at a time.
    ///
    /// # Errors
    /// Where the file cannot be read.
    pub(super) fn player(&self) -> Result<TapePlayer<'_>> {
        (&self.file).rewind()?;
        Ok(TapePlayer { file: &self.file, sounds: self.sounds.iter() })
    }
}

/// Writes one after the other, in one call to the system as a rule (measured: a sixth less than
/// two).
fn write_both(file: &mut File, left: &[u8], right: &[u8]) -> Result<()> {
    let mut both = [IoSlice::new(left), IoSlice::new(right)];
    let mut rest = &mut both[..];
    while !rest.is_empty() {
        match file.write_vectored(rest) {
            Ok(0) => return Err(ErrorKind::WriteZero.into()),
            Ok(written) => IoSlice::advance_slices(&mut rest, written),
            Err(error) if error.kind() == ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
    Ok(())
}

/// A tape being played.
pub(super) struct TapePlayer<'a> {
    file: &'a File,
    sounds: std::slice::Iter<'a, bool>,
}

impl TapePlayer<'_> {
    /// Puts the next block in the place of another; after the last one, silence, since players may
    /// be ahead of what is heard.
    ///
    /// # Errors
    /// Where it cannot be read.
    pub(super) fn next_block(&mut self, block: &mut Arc<Block>) -> Result<()> {
        if self.sounds.next() != Some(&true) {
            *block = Block::nothing();
            return Ok(());
        }
        let Some(Block { left, right, sounds, is_whole }) = Arc::get_mut(block) else {
            return Err(Error::other("a block to be filled is in use elsewhere"));
        };
        for side in [left, right] {
            side.resize(BLOCK, 0.0);
            self.file.read_exact(pulp::bytemuck::cast_slice_mut(side))?;
        }
        (*sounds, *is_whole) = (true, true);
        Ok(())
    }
}
