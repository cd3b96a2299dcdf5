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
    file: Option<Arc<File>>,
    late: VecDeque<Kept>,
}

/// A block in memory.
#[derive(Clone)]
enum Kept {
    /// As it is.
    Whole(Arc<Block>),
    /// Copied to a slot.
    Slot(usize),
}

impl Tape {
    /// Keeps a block, where there is `memory` for copies as a copy, and tells how many bytes it has
    /// that nobody else keeps.
    pub(super) fn push(&mut self, block: &mut Arc<Block>, memory: Option<&mut Memory>) -> usize {
        let bytes = own_bytes(block);
        let slot = memory.filter(|_| bytes > 0).and_then(|memory| memory.put(block).ok());
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
        memory: Option<&mut Memory>,
        file: impl FnOnce() -> Result<File>,
    ) -> Result<()> {
        let Some(kept) = self.late.pop_front() else { return Ok(()) };
        if let Kept::Whole(block) = &kept
            && own_bytes(block) == 0
        {
            self.early.push(Some(block.clone()));
            return Ok(());
        }
        let file = match &self.file {
            Some(file) => file,
            None => self.file.insert(Arc::new(file()?)),
        };
        match (kept, memory) {
            (Kept::Slot(slot), Some(memory)) => {
                (&**file).write_all(memory.bytes(slot))?;
                memory.free(slot);
            }
            (Kept::Whole(block), _) => {
                for side in block.channels() {
                    (&**file).write_all(pulp::bytemuck::cast_slice(side))?;
                }
            }
            (Kept::Slot(_), None) => {}
        }
        self.early.push(None);
        Ok(())
    }

    /// Keeps only the last so many blocks, in memory.
    pub(super) fn forget_all_but(&mut self, last: usize, mut memory: Option<&mut Memory>) {
        self.early = Vec::new();
        self.file = None;
        while self.late.len() > last {
            if let (Some(Kept::Slot(slot)), Some(memory)) = (self.late.pop_front(), &mut memory) {
                memory.free(slot);
            }
        }
    }

    /// Plays it from its beginning. Only one player at a time.
    ///
    /// # Errors
    /// Where the file cannot be read.
    pub(super) fn player(&self, memory: Option<&Arc<Memory>>) -> Result<TapePlayer> {
        if let Some(file) = &self.file {
            (&**file).rewind()?;
        }
        let late: Vec<Kept> = self.late.iter().cloned().collect();
        Ok(TapePlayer {
            early: self.early.clone().into_iter(),
            file: self.file.clone(),
            late: late.into_iter(),
            memory: memory.cloned(),
        })
    }
}

/// How many bytes a block has that nobody else keeps, as a bus that takes have in common is, and that
/// are not silence.
fn own_bytes(block: &Arc<Block>) -> usize {
    let is_own = block.sounds && Arc::strong_count(block) == 1;
    if is_own { size_of_val(&*block.left) + size_of_val(&*block.right) } else { 0 }
}

/// A tape being played.
pub(super) struct TapePlayer {
    early: std::vec::IntoIter<Option<Arc<Block>>>,
    file: Option<Arc<File>>,
    late: std::vec::IntoIter<Kept>,
    memory: Option<Arc<Memory>>,
}

impl TapePlayer {
    /// Puts the next block in the place of another; after the last one, silence.
    ///
    /// # Errors
    /// Where it cannot be read.
    pub(super) fn next_block(&mut self, block: &mut Arc<Block>) -> Result<()> {
        if let Some(early) = self.early.next() {
            return match (early, &self.file) {
                (None, Some(file)) => fill(block, |side, _| (&**file).read_exact(side)),
                (held, _) => {
                    *block = held.unwrap_or_else(Block::nothing);
                    Ok(())
                }
            };
        }
        match (self.late.next(), &self.memory) {
            (Some(Kept::Slot(slot)), Some(memory)) => fill(block, |side, at| {
                side.copy_from_slice(&memory.bytes(slot)[at..at + side.len()]);
                Ok(())
            }),
            (Some(Kept::Whole(whole)), _) => {
                *block = whole;
                Ok(())
            }
            _ => {
                *block = Block::nothing();
                Ok(())
            }
        }
    }
}

/// Makes a block of the bytes that `read` puts into its sides, which begin at a byte of both.
fn fill(block: &mut Arc<Block>, read: impl Fn(&mut [u8], usize) -> Result<()>) -> Result<()> {
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
