//! Memory for blocks in large pieces.
//!
//! The system hands out fresh memory page by page, and with pages of 4 KB that costs as much as all
//! that is written to them (measured: a sixth of a short track). Linux has large pages for those who
//! ask.

use memmap2::MmapMut;

use super::block::{BLOCK, Block};

/// Bytes of both channels of a block.
const SLOT: usize = 2 * BLOCK * size_of::<f32>();
/// Bytes taken from the system at a time: two large pages.
const PIECE: usize = 4 << 20;

/// Blocks by the slots that they are in.
#[derive(Default)]
pub(super) struct Memory {
    /// Whether it takes any.
    is_open: bool,
    pieces: Vec<MmapMut>,
    /// Slots of these pieces that are not in use.
    free: Vec<usize>,
}

impl Memory {
    /// Memory that takes blocks, or none at all.
    pub(super) fn new(is_open: bool) -> Memory {
        Memory { is_open, ..Memory::default() }
    }

    /// Copies a block, and tells where to; `None` where there is no memory for it.
    pub(super) fn put(&mut self, block: &Block) -> Option<usize> {
        if !self.is_open {
            return None;
        }
        if self.free.is_empty() {
            let piece = MmapMut::map_anon(PIECE).ok()?;
            // Where there are no large pages, small ones do.
            #[cfg(target_os = "linux")]
            let _ = piece.advise(memmap2::Advice::HugePage);
            let first = self.pieces.len() * (PIECE / SLOT);
            self.pieces.push(piece);
            self.free.extend((first..first + PIECE / SLOT).rev());
        }
        let slot = self.free.pop()?;
        let (piece, at) = place(slot);
        let (left, right) = self.pieces[piece][at].split_at_mut(SLOT / 2);
        left.copy_from_slice(pulp::bytemuck::cast_slice(&block.left));
        right.copy_from_slice(pulp::bytemuck::cast_slice(&block.right));
        Some(slot)
    }

    /// The bytes of a block, left before right.
    pub(super) fn bytes(&self, slot: usize) -> &[u8] {
        let (piece, at) = place(slot);
        &self.pieces[piece][at]
    }

    /// Gives a slot back.
    pub(super) fn free(&mut self, slot: usize) {
        self.free.push(slot);
    }
}

/// In which piece a slot is, and where.
fn place(slot: usize) -> (usize, std::ops::Range<usize>) {
    let at = slot % (PIECE / SLOT) * SLOT;
    (slot / (PIECE / SLOT), at..at + SLOT)
}
