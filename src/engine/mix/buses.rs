//! Stems that are heard together in every mix share a bus, and a room.
//!
//! The room is linear, so the room of a sum is the sum of the rooms: what never has to be told
//! apart needs one room only. A take with a single mix has one bus; one with "band", "without
//! bass" and "without comp" has three.

use std::sync::Arc;

use super::block::Block;
use super::common::{CommonBus, Follower};
use super::desk::Desk;
use super::error::{MixError, NoSound};
use super::groups::Group;
use super::pan::Matrix;
use super::recording::Recording;
use super::source::{RoomSource, StemSource, Studio};
use super::tape::TapePlayer;
use crate::performance::Part;
use crate::performance::Performance;
use crate::simd::sounds;

/// One part on its way to a bus.
pub(super) struct Strip {
    part: Part,
    stem: Box<dyn StemSource>,
    place: Matrix,
    send: Option<Matrix>,
}

/// A group of stems with their room. The two can work at the same time: the room hears what the
/// players have played.
pub(super) struct Bus<'a> {
    pub(super) players: Players<'a>,
    pub(super) room: BusRoom,
}

impl Bus<'_> {
    /// Whether the take's own stems play on it.
    pub(super) fn is_of_this_take(&self) -> bool {
        matches!(self.players, Players::Own(_))
    }
}

/// Who plays on a bus.
pub(super) enum Players<'a> {
    /// The take's own stems.
    Own(Stems),
    /// The same stems as in other takes.
    Common(Follower),
    /// What was kept of the take's own stems with their room.
    Kept(TapePlayer<'a>),
}

impl Players<'_> {
    /// Makes the next block: of stems dry, and what of it goes to the room; else whole.
    ///
    /// # Errors
    /// Where a note has no sound, or what was kept cannot be read.
    pub(super) fn play(
        &mut self,
        block: &mut Arc<Block>,
        send: &mut Block,
    ) -> Result<(), MixError> {
        match self {
            Players::Own(stems) => stems.play(block, send)?,
            Players::Common(follower) => *block = follower.next_block()?,
            Players::Kept(kept) => {
                kept.next_block(block).map_err(|source| MixError::Kept { source })?;
            }
        }
        Ok(())
    }
}

/// The stems of a bus.
pub(super) struct Stems {
    strips: Vec<Strip>,
    /// What one of them plays.
    dry: Block,
}

impl Stems {
    /// Plays the next block.
    ///
    /// # Errors
    /// Where a note has no sound.
    pub(super) fn play(&mut self, block: &mut Arc<Block>, send: &mut Block) -> Result<(), NoSound> {
        let Stems { strips, dry } = self;
        let block = Arc::make_mut(block);
        block.is_whole = false;
        let (mut is_first, mut is_first_sent) = (true, true);
        for Strip { part, stem, place, send: sent } in strips {
            let Block { left, right, .. } = dry;
            left.fill(0.0);
            right.fill(0.0);
            let played = stem.add_block(left, right);
            played.map_err(|message| NoSound { part: *part, message })?;
            block.lay(dry.channels(), place, is_first);
            is_first = false;
            if let Some(place) = sent {
                send.lay(dry.channels(), place, is_first_sent);
                is_first_sent = false;
            }
        }
        Ok(())
    }
}

/// The room of a bus, where any of its players goes there.
#[derive(Default)]
pub(super) struct BusRoom(Option<Box<dyn RoomSource>>);

impl BusRoom {
    /// Adds the room's answer to a block, of which this was sent.
    pub(super) fn ring(&mut self, block: &mut Arc<Block>, send: &Block) {
        if block.is_whole {
            return;
        }
        let block = Arc::make_mut(block);
        block.is_whole = true;
        if let Some(room) = &mut self.0 {
            room.add_block(send.channels(), &mut block.left, &mut block.right);
        }
        block.sounds = sounds(&block.left) || sounds(&block.right);
    }
}

/// A bus for each group, ready to play from the beginning; what was kept is not played again.
pub(super) fn buses<'a>(
    take: &Performance,
    studio: &dyn Studio,
    groups: &[Group],
    desk: &Desk,
    recording: Option<&'a Recording>,
) -> Result<Vec<Bus<'a>>, MixError> {
    let bus = |(number, group): (usize, &Group)| match recording
        .map(|recording| recording.kept(number))
        .transpose()?
        .flatten()
    {
        None => bus(take, studio, group, desk),
        Some(kept) => Ok(Bus { players: Players::Kept(kept), room: BusRoom::default() }),
    };
    groups.iter().enumerate().map(bus).collect()
}

/// The bus of a group: one that takes have in common, or the take's own.
fn bus<'a>(
    take: &Performance,
    studio: &dyn Studio,
    group: &Group,
    desk: &Desk,
) -> Result<Bus<'a>, MixError> {
    let stems = || stems(take, studio, group, desk);
    // Click and count-in are less work than the room that they would take.
    let is_worth_it = group.is_of_players();
    let common = if is_worth_it { studio.common(take, &group.parts) } else { None };
    match common {
        Some(common) => CommonBus::follow(common, stems),
        None => {
            let (stems, room) = stems()?;
            Ok(Bus { players: Players::Own(stems), room })
        }
    }
}

fn stems(
    take: &Performance,
    studio: &dyn Studio,
    group: &Group,
    desk: &Desk,
) -> Result<(Stems, BusRoom), MixError> {
    let mut strips = Vec::new();
    for part in take.parts.iter().filter(|part| group.parts.contains(&part.part)) {
        let stem =
            studio.stem(take, part).map_err(|message| NoSound { part: part.part, message })?;
        let channel = desk.channel(part.part);
        let place = Matrix::new(channel.gain.gain(), channel.pan);
        let send = channel.room.map(|room| place.scaled(room.gain()));
        strips.push(Strip { part: part.part, stem, place, send });
    }
    let room = strips.iter().any(|strip| strip.send.is_some()).then(|| studio.room());
    Ok((Stems { strips, dry: Block::silent() }, BusRoom(room)))
}
