//! What the survey heard, kept so that it need not be made again.
//!
//! Three minutes of a bus are 64 MB, and no memory here may grow with the length of a take. So only
//! the end is kept, as much as there is memory to spare; what comes before it is made a second
//! time, to the same last bit. So are click and count-in, which would take as much room as the
//! players and are little work.
//!
//! The mixes may need more buses than the survey would. It plays them all where most of them can be
//! kept; that never follows from how much memory there is at the time, since sums of other buses
//! differ in the last bit.

use std::collections::VecDeque;
use std::sync::Arc;

use super::block::Block;
use super::buses::{Bus, Group};
use crate::units::Frames;

/// How many bytes of one take are worth keeping, where there is memory: what a minute and a half of
/// three buses take.
const WORTH_KEEPING: usize = 128 << 20;

/// The blocks of the players' buses up to the end of a take.
pub(super) struct Recording {
    /// What all buses are.
    pub(super) groups: Vec<Group>,
    /// Which of the mixes that the groups tell apart is the first of those asked for.
    pub(super) first_mix: usize,
    /// The blocks of each bus; none of click and count-in.
    kept: Vec<VecDeque<Arc<Block>>>,
    /// For each time that is kept, how many bytes nobody else keeps.
    bytes: VecDeque<usize>,
    bytes_in_all: usize,
    /// How many times were let go.
    gone: usize,
}

impl Recording {
    pub(super) fn new(groups: Vec<Group>, first_mix: usize) -> Recording {
        let kept = groups.iter().map(|_| VecDeque::new()).collect();
        let bytes = VecDeque::new();
        Recording { groups, first_mix, kept, bytes, bytes_in_all: 0, gone: 0 }
    }

    /// Whether at least half of these buses over so many frames is worth keeping.
    pub(super) fn is_worth_it(groups: &[Group], frames: Frames) -> bool {
        const FRAME: u64 = 2 * size_of::<f32>() as u64;
        let buses = groups.iter().filter(|group| group.is_of_players()).count() as u64;
        frames.0.saturating_mul(FRAME).saturating_mul(buses) / 2 <= WORTH_KEEPING as u64
    }

    /// Keeps the next blocks, one a bus, and lets the first ones go until all fit into so many bytes.
    /// Blocks that are not kept any more are left in the place of these.
    pub(super) fn push(&mut self, blocks: &mut [Arc<Block>], most_bytes: usize) {
        let mut bytes = 0;
        for ((group, kept), block) in self.groups.iter().zip(&mut self.kept).zip(&mut *blocks) {
            if group.is_of_players() {
                let block = std::mem::take(block);
                // Silence takes no room.
                let block = if block.sounds { block } else { Arc::default() };
                bytes += own_bytes(&block);
                kept.push_back(block);
            }
        }
        self.bytes.push_back(bytes);
        self.bytes_in_all += bytes;
        while self.bytes_in_all > most_bytes {
            let Some(bytes) = self.bytes.pop_front() else { break };
            self.bytes_in_all -= bytes;
            self.gone += 1;
            for (block, kept) in blocks.iter_mut().zip(&mut self.kept) {
                *block = kept.pop_front().unwrap_or_default();
            }
        }
    }

    /// The players of all buses, who play what was not kept, and then what was.
    pub(super) fn on(&self, buses: &mut [Bus]) {
        for ((bus, group), kept) in buses.iter_mut().zip(&self.groups).zip(&self.kept) {
            if group.is_of_players() {
                bus.players.end_with(self.gone, kept.iter().cloned().collect());
            }
        }
    }
}

/// A block of a bus that takes have in common is kept anyway.
fn own_bytes(block: &Arc<Block>) -> usize {
    let is_own = Arc::strong_count(block) == 1;
    if is_own { size_of_val(&*block.left) + size_of_val(&*block.right) } else { 0 }
}
