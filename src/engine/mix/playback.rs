//! Plays buses to whoever listens, block by block.

use std::sync::Arc;
use std::sync::mpsc::channel;
use std::thread::Builder;

use super::block::{BLOCK, Block};
use super::buses::{Bus, BusRoom, Players};
use super::error::MixError;
use super::source::Studio;
use crate::units::offset;

/// Blocks that the players' thread hands over at once: with fewer, threads wait for each other
/// more than they work; with more, what is handed over has left the processor's cache.
const BATCH: usize = 8;
/// One batch is made while another is heard.
const BATCHES: usize = 2;

/// Plays until `hear` answers that it has heard the last block. It gets a block of every bus, and
/// the frame of the take that they begin with.
///
/// The players may have a thread of their own. It makes the next blocks while rooms and listeners
/// are busy with these: the same blocks in the same order, so the same results. A thread that has
/// nothing to do sleeps, so however many processors there are, a take costs what it costs on one,
/// and what it takes to hand a batch over.
///
/// # Errors
/// Where a block cannot be made or heard, or the studio is to stop.
pub(super) fn play(
    buses: Vec<Bus<'_>>,
    studio: &dyn Studio,
    player_thread: bool,
    mut hear: impl FnMut(&[Arc<Block>], u64) -> Result<bool, MixError>,
) -> Result<(), MixError> {
    let (mut players, mut rooms): (Vec<Players<'_>>, Vec<BusRoom>) =
        buses.into_iter().map(|bus| (bus.players, bus.room)).unzip();
    let mut position = 0;
    let mut hear = |buses: &mut BusBlocks| {
        if studio.is_stopped() {
            return Err(MixError::Stopped);
        }
        buses.ring(&mut rooms);
        let goes_on = hear(&buses.blocks, position)?;
        position += BLOCK as u64;
        Ok(goes_on)
    };
    if player_thread {
        return play_ahead(players, hear);
    }
    let mut blocks = BusBlocks::new(players.len());
    loop {
        blocks.play(&mut players)?;
        if !hear(&mut blocks)? {
            return Ok(());
        }
    }
}

/// Plays with the players in a thread of their own.
fn play_ahead(
    mut players: Vec<Players<'_>>,
    mut hear: impl FnMut(&mut BusBlocks) -> Result<bool, MixError>,
) -> Result<(), MixError> {
    let buses = players.len();
    std::thread::scope(|scope| {
        // Both ends are let go when the last block was heard, so that the thread ends.
        let (heard, to_make) = channel::<Batch>();
        let (made, to_hear) = channel::<Batch>();
        let mut is_open = (0..BATCHES).all(|_| heard.send(Batch::new(buses)).is_ok());
        let plays = move || {
            for mut batch in to_make {
                batch.play(&mut players);
                if made.send(batch).is_err() {
                    return;
                }
            }
        };
        let started = Builder::new().spawn_scoped(scope, plays);
        started.map_err(|source| MixError::Thread { source })?;
        while is_open && let Ok(mut batch) = to_hear.recv() {
            for blocks in &mut batch.blocks[..batch.made] {
                if !hear(blocks)? {
                    return Ok(());
                }
            }
            if let Some(failure) = batch.failure {
                return Err(failure);
            }
            is_open = heard.send(batch).is_ok();
        }
        // Its thread panicked, as the scope will now.
        Ok(())
    })
}

/// A block of every bus at one time.
struct BusBlocks {
    blocks: Vec<Arc<Block>>,
    /// What goes to the rooms.
    sends: Vec<Block>,
}

impl BusBlocks {
    fn new(buses: usize) -> BusBlocks {
        BusBlocks {
            blocks: (0..buses).map(|_| Arc::default()).collect(),
            sends: (0..buses).map(|_| Block::default()).collect(),
        }
    }

    /// Lets the players play.
    fn play(&mut self, players: &mut [Players<'_>]) -> Result<(), MixError> {
        let mut buses = players.iter_mut().zip(&mut self.blocks).zip(&mut self.sends);
        buses.try_for_each(|((players, block), send)| players.play(block, send))
    }

    /// Lets the rooms answer.
    fn ring(&mut self, rooms: &mut [BusRoom]) {
        let buses = rooms.iter_mut().zip(&mut self.blocks).zip(&self.sends);
        buses.for_each(|((room, block), send)| room.ring(block, send));
    }
}

/// What the players' thread hands over.
struct Batch {
    blocks: Vec<BusBlocks>,
    /// How many of these were made.
    made: usize,
    /// Why no more of them were: it matters only once they are to be heard.
    failure: Option<MixError>,
}

impl Batch {
    fn new(buses: usize) -> Batch {
        let blocks = (0..BATCH).map(|_| BusBlocks::new(buses)).collect();
        Batch { blocks, made: 0, failure: None }
    }

    fn play(&mut self, players: &mut [Players<'_>]) {
        self.made = 0;
        for blocks in &mut self.blocks {
            if let Err(failure) = blocks.play(players) {
                self.failure = Some(failure);
                return;
            }
            self.made += 1;
        }
    }
}

/// Which frames of a block lie between two frames of the whole, counted from the block's start.
pub(super) fn overlap(position: u64, from: u64, to: u64) -> std::ops::Range<usize> {
    let within = |frame: u64| offset(frame.saturating_sub(position)).min(BLOCK);
    within(from)..within(to).max(within(from))
}
