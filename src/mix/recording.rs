//! What the survey heard, kept so that it need not be made again.
//!
//! Three minutes of a bus are 64 MB, and no memory here may grow with the length of a take. So only
//! the end is kept, as much as there is memory to spare; what comes before it is made a second
//! time, to the same last bit.
//!
//! The mixes may need more buses than the survey would. It plays them all where most of them can be
//! kept; that never follows from how much memory there is at the time, since sums of other buses
//! differ in the last bit.

use std::collections::VecDeque;

use super::buses::{Block, Group};
use crate::units::Frames;

/// How many bytes of one take are worth keeping, where there is memory: what a minute and a half of
/// three buses take.
pub const WORTH_KEEPING: usize = 128 << 20;

/// The blocks of all buses up to the end of a take.
#[derive(Debug, Default)]
pub(super) struct Recording {
    /// What the buses are.
    pub(super) groups: Vec<Group>,
    /// Which of the mixes that the groups tell apart is the first of those asked for.
    pub(super) first_mix: usize,
    blocks: VecDeque<Vec<Block>>,
    bytes: usize,
    /// How many blocks were let go.
    gone: usize,
}

impl Recording {
    pub(super) fn new(groups: Vec<Group>, first_mix: usize) -> Recording {
        Recording { groups, first_mix, ..Recording::default() }
    }

    /// Whether at least half of these buses over so many frames is worth keeping.
    pub(super) fn is_worth_it(groups: &[Group], frames: Frames) -> bool {
        const FRAME: u64 = 2 * size_of::<f32>() as u64;
        // Click and count-in are silent most of the time, and silence takes no room.
        let buses = groups.iter().filter(|group| group.is_of_players()).count() as u64;
        frames.0.saturating_mul(FRAME).saturating_mul(buses) / 2 <= WORTH_KEEPING as u64
    }

    /// Keeps the next blocks, one a bus, lets the first ones go until all fit into so many bytes,
    /// and answers with room for the blocks after these.
    pub(super) fn push(&mut self, mut blocks: Vec<Block>, most_bytes: usize) -> Vec<Block> {
        let fresh = || self.groups.iter().map(|_| Block::default()).collect();
        let mut room = None;
        for block in blocks.iter_mut().filter(|block| !block.sounds) {
            *block = Block::default();
        }
        self.bytes += bytes(&blocks);
        self.blocks.push_back(blocks);
        while self.bytes > most_bytes {
            let Some(first) = self.blocks.pop_front() else { break };
            self.bytes -= bytes(&first);
            self.gone += 1;
            room = Some(first);
        }
        room.unwrap_or_else(fresh)
    }

    /// How many blocks of the take come before the first that was kept.
    pub(super) fn gone(&self) -> usize {
        self.gone
    }

    /// The blocks that were kept, in order, in two pieces.
    pub(super) fn times(&self) -> [&[Vec<Block>]; 2] {
        let (first, second) = self.blocks.as_slices();
        [first, second]
    }
}

fn bytes(blocks: &[Block]) -> usize {
    blocks.iter().map(|block| size_of_val(&*block.left) + size_of_val(&*block.right)).sum()
}
