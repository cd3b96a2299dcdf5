//! What goes through the whole mix at a time.

use std::sync::Arc;

use super::pan::Matrix;

/// Frames that go through the whole mix at a time: small enough for a processor's cache.
pub(super) const BLOCK: usize = 8192;

/// [`BLOCK`] frames of two channels, or none, which stand for silence.
#[derive(Debug, Clone, Default)]
pub(super) struct Block {
    pub(super) left: Vec<f32>,
    pub(super) right: Vec<f32>,
    /// Whether any sample of a block from a bus is not 0.
    pub(super) sounds: bool,
    /// Whether a block from a bus has its room in it already.
    pub(super) is_whole: bool,
}

impl Block {
    pub(super) fn silent() -> Block {
        Block { left: vec![0.0; BLOCK], right: vec![0.0; BLOCK], ..Block::default() }
    }

    /// A whole block of silence, which takes no room.
    pub(super) fn nothing() -> Arc<Block> {
        Arc::new(Block { is_whole: true, ..Block::default() })
    }

    /// Adds a signal in its place; the first of several takes the place of what is there.
    pub(super) fn lay(&mut self, from: [&[f32]; 2], place: &Matrix, is_first: bool) {
        self.left.resize(BLOCK, 0.0);
        self.right.resize(BLOCK, 0.0);
        place.lay(from, &mut self.left, &mut self.right, is_first);
    }

    /// Becomes like another, in the memory that it has.
    pub(super) fn copy_from(&mut self, other: &Block) {
        self.left.clone_from(&other.left);
        self.right.clone_from(&other.right);
        self.sounds = other.sounds;
    }

    pub(super) fn channels(&self) -> [&[f32]; 2] {
        [&self.left, &self.right]
    }
}
