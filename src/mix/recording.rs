//! What the survey heard, kept so that it need not be made again.
//!
//! Three minutes of a bus are 64 MB, and no memory here may grow with the length of a take. So only
//! the end is kept in memory, as much as there is to spare. What comes before it waits in a file; of
//! long takes it is made a second time, to the same last bit. So are click and count-in, which would
//! take as much room as the players and are little work.
//!
//! The mixes may need more buses than the survey would. It plays them all where most of them can be
//! kept; that never follows from how much memory there is at the time, since sums of other buses
//! differ in the last bit.

use std::collections::VecDeque;
use std::sync::Arc;

use super::block::Block;
use super::error::MixError;
use super::groups::Group;
use super::memory::Memory;
use super::source::Studio;
use super::tape::{Tape, TapePlayer};
use crate::units::Frames;

/// How many bytes of one take are worth keeping, where there is memory: what a minute and a half of
/// three buses take.
const WORTH_KEEPING: u64 = 128 << 20;
/// Takes of more bytes do not go to files: 25 minutes of one bus.
const MOST_IN_FILES: u64 = 512 << 20;

/// The blocks of the players' buses up to the end of a take.
pub(super) struct Recording {
    /// What all buses are.
    pub(super) groups: Vec<Group>,
    /// Which of the mixes that the groups tell apart is the first of those asked for.
    pub(super) first_mix: usize,
    /// One a bus; none for click and count-in.
    tapes: Vec<Option<Tape>>,
    /// Where copies are.
    memory: Memory,
    /// For each time that is in memory, how many bytes nobody else keeps.
    bytes: VecDeque<usize>,
    bytes_in_all: usize,
    /// Whether files take what memory cannot.
    has_files: bool,
    /// How many times were heard, and how many of them were let go.
    heard: usize,
    gone: usize,
}

impl Recording {
    /// Of a take of about so many frames. Where memory is fresh, blocks are copied to large pieces
    /// of it; else they are kept as they are.
    pub(super) fn new(
        groups: Vec<Group>,
        first_mix: usize,
        frames: Frames,
        studio: &dyn Studio,
    ) -> Recording {
        let tape = |group: &Group| group.is_of_players().then(Tape::default);
        Recording {
            tapes: groups.iter().map(tape).collect(),
            memory: Memory::new(studio.memory_is_fresh()),
            bytes: VecDeque::new(),
            bytes_in_all: 0,
            has_files: bytes_of_players(&groups, frames) <= MOST_IN_FILES,
            heard: 0,
            gone: 0,
            groups,
            first_mix,
        }
    }

    /// Whether at least half of these buses over so many frames is worth keeping.
    pub(super) fn is_worth_it(groups: &[Group], frames: Frames) -> bool {
        bytes_of_players(groups, frames) / 2 <= WORTH_KEEPING
    }

    /// Keeps the next blocks, one a bus. Where memory is short, the first ones move to files or are
    /// let go.
    pub(super) fn push(&mut self, blocks: &mut [Arc<Block>], studio: &dyn Studio) {
        let mut bytes = 0;
        for (tape, block) in self.tapes.iter_mut().zip(blocks) {
            if let Some(tape) = tape {
                bytes += tape.push(block, &mut self.memory);
            }
        }
        self.bytes.push_back(bytes);
        self.bytes_in_all += bytes;
        self.heard += 1;
        let most = studio.spare_memory();
        while self.bytes_in_all > most {
            let Some(bytes) = self.bytes.pop_front() else { break };
            self.bytes_in_all -= bytes;
            self.has_files = self.has_files && self.move_first(studio).is_ok();
            if !self.has_files {
                self.forget_first();
            }
        }
    }

    fn move_first(&mut self, studio: &dyn Studio) -> std::io::Result<()> {
        let mut tapes = self.tapes.iter_mut().flatten();
        tapes.try_for_each(|tape| tape.move_first(&mut self.memory, || studio.file()))
    }

    /// Lets go of the first blocks in memory, and of all that were moved: no gap may be left.
    fn forget_first(&mut self) {
        // Some tapes may have moved their blocks before another could not.
        self.gone = self.heard - self.bytes.len();
        for tape in self.tapes.iter_mut().flatten() {
            tape.forget_all_but(self.bytes.len(), &mut self.memory);
        }
    }

    /// What was kept of a bus, and how many blocks came before that; `None` where nothing was.
    ///
    /// # Errors
    /// Where a file cannot be read.
    pub(super) fn kept(&self, bus: usize) -> Result<Option<(usize, TapePlayer<'_>)>, MixError> {
        let Some(Some(tape)) = self.tapes.get(bus) else { return Ok(None) };
        let player = tape.player(&self.memory).map_err(|source| MixError::Kept { source })?;
        Ok(Some((self.gone, player)))
    }
}

fn bytes_of_players(groups: &[Group], frames: Frames) -> u64 {
    const FRAME: u64 = 2 * size_of::<f32>() as u64;
    let buses = groups.iter().filter(|group| group.is_of_players()).count() as u64;
    frames.0.saturating_mul(FRAME).saturating_mul(buses)
}
