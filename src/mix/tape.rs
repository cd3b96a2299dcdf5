//! One bus as it was heard, to be heard again: in memory, and in a file what memory cannot hold.

use std::collections::VecDeque;
use std::fs::File;
use std::io::{Read, Result, Seek, Write};
use std::sync::Arc;

use super::block::{BLOCK, Block};
use super::memory::Memory;

/// The blocks of a bus from the first that was kept.
#[derive(Default)]
pub(super) struct Tape {
    /// Those that came before the ones in memory; here, only where they need no room.
    early: Vec<Option<Arc<Block>>>,
    /// The others of these.
    file: Option<File>,
    late: VecDeque<Kept>,
}

/// A block in memory.
enum Kept {
    /// As it is.
    Whole(Arc<Block>),
    /// Copied to a slot.
    Slot(usize),
}

impl Tape {
    /// Keeps a block, where `memory` takes it as a copy, and tells how many bytes it has that nobody
    /// else keeps.
    pub(super) fn push(&mut self, block: &mut Arc<Block>, memory: &mut Memory) -> usize {
        let bytes = own_bytes(block);
        let slot = if bytes > 0 { memory.put(block) } else { None };
        self.late.push_back(match slot {
            Some(slot) => Kept::Slot(slot),
            None if block.sounds => Kept::Whole(std::mem::take(block)),
            None => Kept::Whole(Block::nothing()),
        });
        bytes
    }

    /// Moves the first block in memory to a file, which is begun where there is none.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub(super) fn move_first(
        &mut self,
        memory: &mut Memory,
        file: impl FnOnce() -> Result<File>,
    ) -> Result<()> {
        let Some(kept) = self.late.pop_front() else { return Ok(()) };
        let kept = match kept {
            Kept::Whole(block) if own_bytes(&block) == 0 => {
                self.early.push(Some(block));
                return Ok(());
            }
            kept => kept,
        };
        let file = match &mut self.file {
            Some(file) => file,
            None => self.file.insert(file()?),
        };
        match kept {
            Kept::Slot(slot) => {
                file.write_all(memory.bytes(slot))?;
                memory.free(slot);
            }
            Kept::Whole(block) => {
                for side in block.channels() {
                    file.write_all(pulp::bytemuck::cast_slice(side))?;
                }
            }
        }
        self.early.push(None);
        Ok(())
    }

    /// Keeps only the last so many blocks, in memory.
    pub(super) fn forget_all_but(&mut self, last: usize, memory: &mut Memory) {
        self.early = Vec::new();
        self.file = None;
        while self.late.len() > last {
            if let Some(Kept::Slot(slot)) = self.late.pop_front() {
                memory.free(slot);
            }
        }
    }

    /// Plays it from its beginning. Only one player at a time.
    ///
    /// # Errors
    /// Where the file cannot be read.
    pub(super) fn player<'a>(&'a self, memory: &'a Memory) -> Result<TapePlayer<'a>> {
        if let Some(mut file) = self.file.as_ref() {
            file.rewind()?;
        }
        Ok(TapePlayer { tape: self, memory, next: 0 })
    }
}

/// How many bytes a block has that nobody else keeps, as a bus that takes have in common is, and that
/// are not silence.
fn own_bytes(block: &Arc<Block>) -> usize {
    let is_own = block.sounds && Arc::strong_count(block) == 1;
    if is_own { size_of_val(&*block.left) + size_of_val(&*block.right) } else { 0 }
}

/// A tape being played.
pub(super) struct TapePlayer<'a> {
    tape: &'a Tape,
    memory: &'a Memory,
    next: usize,
}

impl TapePlayer<'_> {
    /// Puts the next block in the place of another; after the last one, silence.
    ///
    /// # Errors
    /// Where it cannot be read.
    pub(super) fn next_block(&mut self, block: &mut Arc<Block>) -> Result<()> {
        let TapePlayer { tape, memory, next } = self;
        let number = *next;
        *next += 1;
        let whole = match (tape.early.get(number), &tape.file) {
            (Some(None), Some(file)) => {
                let mut file = file;
                return fill(block, |side, _| file.read_exact(side));
            }
            (Some(held), _) => held.clone(),
            (None, _) => match tape.late.get(number - tape.early.len()) {
                Some(Kept::Slot(slot)) => {
                    let bytes = memory.bytes(*slot);
                    return fill(block, |side, at| {
                        side.copy_from_slice(&bytes[at..at + side.len()]);
                        Ok(())
                    });
                }
                Some(Kept::Whole(whole)) => Some(whole.clone()),
                None => None,
            },
        };
        *block = whole.unwrap_or_else(Block::nothing);
        Ok(())
    }
}

/// Makes a block of the bytes that `read` puts into its sides, which begin at a byte of both.
fn fill(
    block: &mut Arc<Block>,
    mut read: impl FnMut(&mut [u8], usize) -> Result<()>,
) -> Result<()> {
    if Arc::get_mut(block).is_none() {
        *block = Arc::default();
    }
    let Block { left, right, sounds, is_whole } = Arc::make_mut(block);
    let mut at = 0;
    for side in [left, right] {
        side.resize(BLOCK, 0.0);
        let side: &mut [u8] = pulp::bytemuck::cast_slice_mut(side);
        read(side, at)?;
        at += side.len();
    }
    (*sounds, *is_whole) = (true, true);
    Ok(())
}
