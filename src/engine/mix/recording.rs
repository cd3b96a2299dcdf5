//! What the survey heard, kept so that it need not be made again.
//!
//! There are two ways to come by it the second time, and each has its reason:
//!
//! - **From a file** without a name in the set's folder, as far as [`MOST_BYTES`]. To make it again
//!   would be a third more work for a single track and an eighth for a set. To keep it in memory
//!   saves nothing in a set, where a take's blocks are as much fresh memory as the system's own
//!   copy of a file is, and would take 64 MB for three minutes of a bus, on every thread (all
//!   measured).
//! - **Made a second time,** to the same last bit, where a take is so long that its file would be a
//!   burden on the disk, or where there is no room for a file. So are click and count-in, which are
//!   little work, and buses that takes have in common, which are kept for all of them
//!   ([`CommonBus`](super::CommonBus)).

use std::sync::Arc;

use super::block::Block;
use super::buses::Bus;
use super::error::MixError;
use super::groups::Group;
use super::source::Studio;
use super::tape::{Tape, TapePlayer};
use crate::units::Frames;

/// Takes of more bytes do not go to files: 25 minutes of one bus.
const MOST_BYTES: u64 = 512 << 20;

/// The blocks of a take's own players.
pub(super) struct Recording {
    /// What all buses are.
    pub(super) groups: Vec<Group>,
    /// Which of the mixes that the groups tell apart is the first of those asked for.
    pub(super) first_mix: usize,
    /// One a bus, `None` for those that are made again; empty where all are.
    tapes: Vec<Option<Tape>>,
}

impl Recording {
    /// Of a take of about so many frames.
    pub(super) fn new(
        groups: Vec<Group>,
        first_mix: usize,
        buses: &[Bus<'_>],
        frames: Frames,
        studio: &dyn Studio,
    ) -> Recording {
        let is_kept = |group: &Group, bus: &Bus<'_>| {
            group.is_of_players() && bus.is_of_this_take() && bytes(&groups, frames) <= MOST_BYTES
        };
        let tape = |(group, bus)| {
            let file = || studio.file().map(Tape::new);
            is_kept(group, bus).then(file).transpose()
        };
        let tapes: std::io::Result<_> = groups.iter().zip(buses).map(tape).collect();
        Recording { tapes: tapes.unwrap_or_default(), groups, first_mix }
    }

    /// Whether the survey is to play the buses that the mixes need, which are more than it needs
    /// itself, so that they can be kept. This never follows from what there is room for, since
    /// sums of other buses differ in the last bit.
    pub(super) fn is_worth_more_buses(groups: &[Group], frames: Frames) -> bool {
        bytes(groups, frames) <= MOST_BYTES / 2
    }

    /// Keeps the next blocks, one a bus. Where one cannot be kept, all are made again.
    pub(super) fn push(&mut self, blocks: &[Arc<Block>]) {
        let mut kept = self.tapes.iter_mut().zip(blocks);
        let pushed = kept.try_for_each(|(tape, block)| match tape {
            Some(tape) => tape.push(block),
            None => Ok(()),
        });
        if pushed.is_err() {
            self.tapes.clear();
        }
    }

    /// What was kept of a bus; `None` where it is to be made again.
    ///
    /// # Errors
    /// Where a file cannot be read.
    pub(super) fn kept(&self, bus: usize) -> Result<Option<TapePlayer<'_>>, MixError> {
        let tape = self.tapes.get(bus).and_then(Option::as_ref);
        tape.map(Tape::player).transpose().map_err(|source| MixError::Kept { source })
    }
}

/// What the players' buses come to.
fn bytes(groups: &[Group], frames: Frames) -> u64 {
    const FRAME: u64 = 2 * size_of::<f32>() as u64;
    let buses = groups.iter().filter(|group| group.is_of_players()).count() as u64;
    frames.0.saturating_mul(FRAME).saturating_mul(buses)
}
