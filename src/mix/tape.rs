//! One bus as it was heard, to be heard again: in memory, and in a file what memory cannot hold.

use std::collections::VecDeque;
use std::fs::File;
use std::io::{Read, Seek, Write};
use std::sync::Arc;

use super::block::{BLOCK, Block};

/// The blocks of a bus from the first that was kept.
#[derive(Default)]
pub(super) struct Tape {
    /// Those in the file; here only where they need no room, else `None`.
    early: Vec<Option<Arc<Block>>>,
    file: Option<Arc<File>>,
    late: VecDeque<Arc<Block>>,
}

impl Tape {
    /// Keeps a block, and tells how many bytes it has that nobody else keeps.
    pub(super) fn push(&mut self, block: &mut Arc<Block>) -> usize {
        let block = std::mem::take(block);
        // Silence takes no room.
        let block = if block.sounds { block } else { Block::nothing() };
        let bytes = own_bytes(&block);
        self.late.push_back(block);
        bytes
    }

    /// Moves the first block in memory to a file, which is begun where there is none, and leaves it
    /// in the place of another.
    ///
    /// # Errors
    /// Where it cannot be written.
    pub(super) fn move_first(
        &mut self,
        room: &mut Arc<Block>,
        file: impl FnOnce() -> std::io::Result<File>,
    ) -> std::io::Result<()> {
        let Some(block) = self.late.pop_front() else { return Ok(()) };
        if own_bytes(&block) == 0 {
            self.early.push(Some(block));
            return Ok(());
        }
        let file = match &self.file {
            Some(file) => file,
            None => self.file.insert(Arc::new(file()?)),
        };
        for side in block.channels() {
            (&**file).write_all(pulp::bytemuck::cast_slice(side))?;
        }
        self.early.push(None);
        *room = block;
        Ok(())
    }

    /// Keeps only the last so many blocks in memory; one of the others is left in the place of
    /// another block.
    pub(super) fn forget_all_but(&mut self, last: usize, room: &mut Arc<Block>) {
        self.early = Vec::new();
        self.file = None;
        while self.late.len() > last {
            *room = self.late.pop_front().unwrap_or_default();
        }
    }

    /// Plays it from its beginning. Only one player at a time.
    ///
    /// # Errors
    /// Where the file cannot be read.
    pub(super) fn player(&self) -> std::io::Result<TapePlayer> {
        if let Some(file) = &self.file {
            (&**file).rewind()?;
        }
        let late: Vec<Arc<Block>> = self.late.iter().cloned().collect();
        Ok(TapePlayer {
            early: self.early.clone().into_iter(),
            file: self.file.clone(),
            late: late.into_iter(),
        })
    }
}

/// How many bytes a block has that nobody else keeps, as a bus that takes have in common is.
fn own_bytes(block: &Arc<Block>) -> usize {
    let is_own = Arc::strong_count(block) == 1;
    if is_own { size_of_val(&*block.left) + size_of_val(&*block.right) } else { 0 }
}

/// A tape being played.
pub(super) struct TapePlayer {
    early: std::vec::IntoIter<Option<Arc<Block>>>,
    file: Option<Arc<File>>,
    late: std::vec::IntoIter<Arc<Block>>,
}

impl TapePlayer {
    /// Puts the next block in the place of another; after the last one, silence.
    ///
    /// # Errors
    /// Where it cannot be read.
    pub(super) fn next_block(&mut self, block: &mut Arc<Block>) -> std::io::Result<()> {
        match (self.early.next(), &self.file) {
            (Some(None), Some(file)) => {
                if Arc::get_mut(block).is_none() {
                    *block = Arc::default();
                }
                let Block { left, right, sounds, is_whole } = Arc::make_mut(block);
                for side in [left, right] {
                    side.resize(BLOCK, 0.0);
                    (&**file).read_exact(pulp::bytemuck::cast_slice_mut(side))?;
                }
                (*sounds, *is_whole) = (true, true);
            }
            (Some(held), _) => *block = held.unwrap_or_else(Block::nothing),
            (None, _) => *block = self.late.next().unwrap_or_else(Block::nothing),
        }
        Ok(())
    }
}
