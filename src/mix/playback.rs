//! Plays buses to whoever listens, block by block.

use rayon::prelude::*;

use super::buses::{BLOCK, Block, Bus};
use super::error::MixError;
use super::recording::Recording;

/// Hears every block of every bus.
pub(super) trait Listener: Send {
    /// Hears the next blocks, one a bus, which begin at a frame of the take.
    fn hear(&mut self, blocks: &[Block], position: u64) -> Result<(), MixError>;

    /// Whether it has not heard all that it needs: blocks up to this frame have been played.
    fn wants_more(&self, position: u64) -> bool;
}

/// Plays until no listener wants more, or for so many blocks, and tells where it ended.
///
/// Spread over threads, the buses already make the next blocks while the listeners hear these:
/// the same blocks in the same order for each of them, so the same results. What was heard is given
/// to `keep`, which answers with room for more.
pub(super) fn play(
    buses: &mut [Bus],
    listeners: &mut [&mut dyn Listener],
    spread: bool,
    blocks: usize,
    mut keep: impl FnMut(Vec<Block>) -> Vec<Block>,
) -> Result<u64, MixError> {
    let mut now: Vec<Block> = buses.iter().map(|_| Block::silent()).collect();
    let end = (blocks as u64).saturating_mul(BLOCK as u64);
    let mut position = 0;
    let goes_on = |listeners: &[&mut dyn Listener], position| {
        position < end && listeners.iter().any(|listener| listener.wants_more(position))
    };
    if !spread {
        while goes_on(listeners, position) {
            for (bus, block) in buses.iter_mut().zip(&mut now) {
                bus.advance(block, false)?;
            }
            for listener in &mut *listeners {
                listener.hear(&now, position)?;
            }
            position += BLOCK as u64;
            now = keep(now);
        }
        return Ok(position);
    }
    let mut next = now.clone();
    let mut made = make(buses, &mut now);
    while goes_on(listeners, position) {
        // What cannot be made matters only once it is to be heard.
        made?;
        let (makes, heard) =
            rayon::join(|| make(buses, &mut next), || hear(listeners, &now, position));
        heard?;
        made = makes;
        now = std::mem::replace(&mut next, keep(now));
        position += BLOCK as u64;
    }
    Ok(position)
}

/// Plays a recording from a position on until no listener wants more.
pub(super) fn replay(
    recording: &Recording,
    mut position: u64,
    listeners: &mut [&mut dyn Listener],
    spread: bool,
) -> Result<(), MixError> {
    for blocks in recording.blocks() {
        if !listeners.iter().any(|listener| listener.wants_more(position)) {
            break;
        }
        if spread {
            hear(listeners, blocks, position)?;
        } else {
            for listener in &mut *listeners {
                listener.hear(blocks, position)?;
            }
        }
        position += BLOCK as u64;
    }
    Ok(())
}

/// Of several errors that of the first bus is told, whichever came first.
fn make(buses: &mut [Bus], blocks: &mut [Block]) -> Result<(), MixError> {
    let made: Vec<Result<(), MixError>> =
        buses.par_iter_mut().zip(blocks).map(|(bus, block)| bus.advance(block, true)).collect();
    made.into_iter().collect()
}

/// As in [`make`].
fn hear(
    listeners: &mut [&mut dyn Listener],
    blocks: &[Block],
    position: u64,
) -> Result<(), MixError> {
    let heard: Vec<Result<(), MixError>> =
        listeners.par_iter_mut().map(|listener| listener.hear(blocks, position)).collect();
    heard.into_iter().collect()
}

/// Which frames of a block lie between two frames of the whole, counted from the block's start.
pub(super) fn overlap(position: u64, from: u64, to: u64) -> std::ops::Range<usize> {
    let within = |frame: u64| {
        usize::try_from(frame.saturating_sub(position)).unwrap_or(usize::MAX).min(BLOCK)
    };
    within(from)..within(to).max(within(from))
}
