//! Plays buses to whoever listens, block by block.

use std::sync::Arc;

use rayon::prelude::*;

use super::block::{BLOCK, Block};
use super::buses::{Bus, BusRoom, OnItsWay, Players};
use super::error::MixError;

/// Blocks that threads hand over to each other at once: with fewer, they wait for each other more
/// than they work; with more, what is handed over has left the processor's cache.
const BATCH: usize = 8;

/// Hears every block of every bus.
pub(super) trait Listener: Send {
    /// Hears the next blocks, for each time one a bus. The first begin at a frame of the take. It may
    /// `spread` over threads.
    fn hear(
        &mut self,
        times: &[Vec<Arc<Block>>],
        position: u64,
        spread: bool,
    ) -> Result<(), MixError>;
}

/// Plays until `goes_on`, which hears every block first, answers that it was the last one.
///
/// Spread over threads, the players already make the next blocks while rooms and listeners are busy
/// with these: the same blocks in the same order for each of them, so the same results. What was
/// heard is given to `keep`, which leaves room for more in its place.
pub(super) fn play(
    buses: Vec<Bus<'_>>,
    listeners: &mut [&mut dyn Listener],
    spread: bool,
    mut goes_on: impl FnMut(&[Arc<Block>], u64) -> bool + Send,
    mut keep: impl FnMut(&mut [Arc<Block>]) + Send,
) -> Result<(), MixError> {
    let batch = if spread { BATCH } else { 1 };
    let (mut now, mut next) =
        (Batch::silent(batch, buses.len()), Batch::silent(batch, buses.len()));
    let (mut players, mut rooms): (Vec<Players<'_>>, Vec<BusRoom>) =
        buses.into_iter().map(|bus| (bus.players, bus.room)).unzip();
    let mut position = 0;
    let mut made = make(&mut players, &mut now, spread);
    loop {
        // What cannot be made matters only once it is to be heard.
        made?;
        let mut hears = || -> Result<(usize, bool), MixError> {
            ring(&mut rooms, &mut now, spread);
            let (wanted, is_last) = wanted(&now.blocks, position, &mut goes_on);
            hear(listeners, &now.blocks[..wanted], position, spread)?;
            now.blocks[..wanted].iter_mut().for_each(|blocks| keep(blocks));
            Ok((wanted, is_last))
        };
        let (heard, makes) = if spread {
            rayon::join(hears, || make(&mut players, &mut next, spread))
        } else {
            (hears(), Ok(()))
        };
        let (wanted, is_last) = heard?;
        position += frames(wanted);
        if is_last {
            return Ok(());
        }
        made = if spread {
            std::mem::swap(&mut now, &mut next);
            makes
        } else {
            make(&mut players, &mut now, spread)
        };
    }
}

/// How many of these blocks are wanted, and whether none are after them.
fn wanted(
    times: &[Vec<Arc<Block>>],
    position: u64,
    goes_on: &mut impl FnMut(&[Arc<Block>], u64) -> bool,
) -> (usize, bool) {
    let last = (0..times.len()).find(|time| !goes_on(&times[*time], position + frames(*time)));
    (last.map_or(times.len(), |last| last + 1), last.is_some())
}

fn frames(blocks: usize) -> u64 {
    (blocks * BLOCK) as u64
}

/// What is handed over at once: for each time, and each bus.
struct Batch {
    blocks: Vec<Vec<Arc<Block>>>,
    /// What goes to the rooms.
    sends: Vec<Vec<Block>>,
}

impl Batch {
    fn silent(times: usize, buses: usize) -> Batch {
        let blocks = (0..times).map(|_| (0..buses).map(|_| Arc::default()).collect());
        let sends = (0..times).map(|_| (0..buses).map(|_| Block::default()).collect());
        Batch { blocks: blocks.collect(), sends: sends.collect() }
    }

    /// Every bus's blocks, each with its send, in order of time.
    fn by_bus(&mut self) -> Vec<Vec<OnItsWay<'_>>> {
        let buses = self.blocks.first().map_or(0, Vec::len);
        let mut by_bus: Vec<Vec<_>> = (0..buses).map(|_| Vec::new()).collect();
        for (blocks, sends) in self.blocks.iter_mut().zip(&mut self.sends) {
            for (of_bus, both) in by_bus.iter_mut().zip(blocks.iter_mut().zip(sends)) {
                of_bus.push(both);
            }
        }
        by_bus
    }
}

/// Lets the players play. Of several errors that of the first bus is told, whichever came first.
fn make(players: &mut [Players<'_>], batch: &mut Batch, spread: bool) -> Result<(), MixError> {
    let mut by_bus = batch.by_bus();
    if !spread {
        let mut all = players.iter_mut().zip(&mut by_bus);
        return all.try_for_each(|(players, blocks)| players.play(blocks, spread));
    }
    let all = players.par_iter_mut().zip(&mut by_bus);
    let made: Vec<_> = all.map(|(players, blocks)| players.play(blocks, spread)).collect();
    made.into_iter().collect()
}

/// Lets the rooms answer.
fn ring(rooms: &mut [BusRoom], batch: &mut Batch, spread: bool) {
    let mut by_bus = batch.by_bus();
    if spread {
        rooms.par_iter_mut().zip(&mut by_bus).for_each(|(room, blocks)| room.ring(blocks));
    } else {
        rooms.iter_mut().zip(&mut by_bus).for_each(|(room, blocks)| room.ring(blocks));
    }
}

/// As in [`make`].
fn hear(
    listeners: &mut [&mut dyn Listener],
    times: &[Vec<Arc<Block>>],
    position: u64,
    spread: bool,
) -> Result<(), MixError> {
    if !spread {
        let mut all = listeners.iter_mut();
        return all.try_for_each(|listener| listener.hear(times, position, spread));
    }
    let hear = |listener: &mut &mut dyn Listener| listener.hear(times, position, spread);
    let heard: Vec<Result<(), MixError>> = listeners.par_iter_mut().map(hear).collect();
    heard.into_iter().collect()
}

/// Does two things, at the same time where it may spread over threads.
pub(super) fn both<A: Send, B: Send>(
    spread: bool,
    one: impl FnOnce() -> A + Send,
    other: impl FnOnce() -> B + Send,
) -> (A, B) {
    if spread { rayon::join(one, other) } else { (one(), other()) }
}

/// Which frames of a block lie between two frames of the whole, counted from the block's start.
pub(super) fn overlap(position: u64, from: u64, to: u64) -> std::ops::Range<usize> {
    let within = |frame: u64| {
        usize::try_from(frame.saturating_sub(position)).unwrap_or(usize::MAX).min(BLOCK)
    };
    within(from)..within(to).max(within(from))
}
