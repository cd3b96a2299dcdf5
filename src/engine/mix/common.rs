//! Buses that several takes have in common.
//!
//! In every key the drummer plays the same, to the same click. To play it again for each of twelve
//! keys would be half the work of a set.

use std::sync::{Arc, Mutex, PoisonError, RwLock};

use super::block::Block;
use super::buses::{Bus, BusRoom, Players, Stems};
use super::error::{MixError, NoSound};

/// A bus that takes have in common: played once, as far as any of them has asked for, and kept.
/// Its blocks are those that each take would have made for itself, to the last bit.
#[derive(Default)]
pub struct CommonBus {
    made: RwLock<Vec<Arc<Block>>>,
    maker: Mutex<Maker>,
}

/// What makes the blocks after those that are made.
#[derive(Default)]
enum Maker {
    /// No take has come yet.
    #[default]
    Waiting,
    Playing(Stems, BusRoom),
    Failed(NoSound),
}

impl CommonBus {
    /// A bus that plays what is common, from its beginning. The first take to come has it made.
    pub(super) fn follow<'a>(
        common: Arc<CommonBus>,
        stems: impl FnOnce() -> Result<(Stems, BusRoom), MixError>,
    ) -> Result<Bus<'a>, MixError> {
        {
            let mut maker = common.maker.lock().unwrap_or_else(PoisonError::into_inner);
            if let Maker::Waiting = *maker {
                let (stems, room) = stems()?;
                *maker = Maker::Playing(stems, room);
            }
        }
        let players = Players::Common(Follower { common, next: 0 });
        Ok(Bus { players, room: BusRoom::default() })
    }

    /// A block by its number. Whoever needs it first makes it.
    fn block(&self, number: usize) -> Result<Arc<Block>, NoSound> {
        if let Some(block) = self.made(number) {
            return Ok(block);
        }
        let mut maker = self.maker.lock().unwrap_or_else(PoisonError::into_inner);
        loop {
            if let Some(block) = self.made(number) {
                return Ok(block);
            }
            let made = match &mut *maker {
                Maker::Playing(stems, room) => next_block(stems, room),
                Maker::Failed(error) => Err(error.clone()),
                // Nobody follows what is not made.
                Maker::Waiting => return Ok(Block::nothing()),
            };
            match made {
                Ok(block) => {
                    self.made.write().unwrap_or_else(PoisonError::into_inner).push(block);
                }
                Err(error) => {
                    // It may have stopped in the middle of a block.
                    *maker = Maker::Failed(error.clone());
                    return Err(error);
                }
            }
        }
    }

    fn made(&self, number: usize) -> Option<Arc<Block>> {
        self.made.read().unwrap_or_else(PoisonError::into_inner).get(number).cloned()
    }
}

/// The next block with its room.
fn next_block(stems: &mut Stems, room: &mut BusRoom) -> Result<Arc<Block>, NoSound> {
    let (mut block, mut send) = (Arc::default(), Block::default());
    stems.play(&mut block, &mut send)?;
    room.ring(&mut block, &send);
    Ok(if block.sounds { block } else { Block::nothing() })
}

/// A take's place in a common bus.
pub(super) struct Follower {
    common: Arc<CommonBus>,
    next: usize,
}

impl Follower {
    /// The next block, with its room.
    pub(super) fn next_block(&mut self) -> Result<Arc<Block>, NoSound> {
        let block = self.common.block(self.next)?;
        self.next += 1;
        Ok(block)
    }
}
