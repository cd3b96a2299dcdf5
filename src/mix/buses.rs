//! Stems that are heard together in every mix share a bus, and a room.
//!
//! The room is linear, so the room of a sum is the sum of the rooms: what never has to be told
//! apart needs one room only. A take with a single mix has one bus; one with "band", "without
//! bass" and "without comp" has three.

use std::sync::Arc;

use rayon::prelude::*;

use super::block::Block;
use super::common::{CommonBus, Follower};
use super::desk::Desk;
use super::error::{MixError, NoSound};
use super::groups::Group;
use super::pan::Matrix;
use super::recording::Recording;
use super::source::{RoomSource, StemSource, Studio};
use super::tape::TapePlayer;
use crate::feel::Performance;
use crate::lanes::sounds;
use crate::part::Part;

/// One part on its way to a bus.
pub(super) struct Strip {
    part: Part,
    stem: Box<dyn StemSource>,
    place: Matrix,
    send: Option<Matrix>,
    /// The blocks at hand.
    dry: Vec<Block>,
}

impl Strip {
    fn advance(&mut self, blocks: usize, spread: bool) -> Result<(), NoSound> {
        let Strip { part, stem, dry, .. } = self;
        dry.resize_with(blocks, Block::silent);
        let mut cleared = dry.iter_mut().map(|Block { left, right, .. }| {
            left.fill(0.0);
            right.fill(0.0);
            [&mut left[..], &mut right[..]]
        });
        let played = if spread {
            stem.add_blocks(&mut cleared.collect::<Vec<_>>())
        } else {
            cleared.try_for_each(|[left, right]| stem.add_block(left, right))
        };
        played.map_err(|message| NoSound { part: *part, message })
    }
}

/// A group of stems with their room. The two can work at the same time: the room hears what the
/// players have played.
pub(super) struct Bus<'a> {
    pub(super) players: Players<'a>,
    pub(super) room: BusRoom,
}

/// Who plays on a bus.
pub(super) enum Players<'a> {
    /// The take's own stems.
    Own(Stems),
    /// The same stems as in other takes.
    Common(Follower),
    /// What was kept of them, after players for so many blocks where not all was.
    Kept { before: Option<(Box<Players<'a>>, usize)>, kept: TapePlayer<'a> },
}

/// A block of a bus on its way, and what of it goes to the room.
pub(super) type OnItsWay<'a> = (&'a mut Arc<Block>, &'a mut Block);

impl Players<'_> {
    /// Makes the next blocks: of stems dry, and what of them goes to the room; else whole.
    ///
    /// # Errors
    /// Where a note has no sound, or what was kept cannot be read.
    pub(super) fn play(
        &mut self,
        blocks: &mut [OnItsWay<'_>],
        spread: bool,
    ) -> Result<(), MixError> {
        match self {
            Players::Own(stems) => stems.play(blocks, spread)?,
            Players::Common(follower) => {
                for (block, _) in blocks {
                    **block = follower.next_block()?;
                }
            }
            Players::Kept { before, kept } => {
                let mut blocks = blocks;
                if let Some((players, left)) = before {
                    let (played, rest) = blocks.split_at_mut(blocks.len().min(*left));
                    players.play(played, spread)?;
                    (*left, blocks) = (*left - played.len(), rest);
                    if *left == 0 {
                        *before = None;
                    }
                }
                for (block, _) in blocks {
                    kept.next_block(block).map_err(|source| MixError::Kept { source })?;
                }
            }
        }
        Ok(())
    }
}

/// The stems of a bus.
pub(super) struct Stems(Vec<Strip>);

impl Stems {
    /// Plays the next blocks; spread over threads, all stems at the same time.
    ///
    /// # Errors
    /// Where a note has no sound.
    pub(super) fn play(
        &mut self,
        blocks: &mut [OnItsWay<'_>],
        spread: bool,
    ) -> Result<(), NoSound> {
        let strips = &mut self.0;
        let count = blocks.len();
        if spread {
            let made: Vec<_> =
                strips.par_iter_mut().map(|strip| strip.advance(count, spread)).collect();
            made.into_iter().collect::<Result<(), NoSound>>()?;
        } else {
            strips.iter_mut().try_for_each(|strip| strip.advance(count, spread))?;
        }
        for (time, (block, send)) in blocks.iter_mut().enumerate() {
            let block = Arc::make_mut(block);
            block.is_whole = false;
            let (mut is_first, mut is_first_sent) = (true, true);
            for strip in &*strips {
                let dry = strip.dry[time].channels();
                block.lay(dry, &strip.place, is_first);
                is_first = false;
                if let Some(place) = &strip.send {
                    send.lay(dry, place, is_first_sent);
                    is_first_sent = false;
                }
            }
        }
        Ok(())
    }
}

/// The room of a bus, where any of its players goes there.
#[derive(Default)]
pub(super) struct BusRoom(Option<Box<dyn RoomSource>>);

impl BusRoom {
    /// Adds the room's answer to blocks, of each that which was sent.
    pub(super) fn ring(&mut self, blocks: &mut [OnItsWay<'_>]) {
        for (block, send) in blocks {
            if block.is_whole {
                continue;
            }
            let block = Arc::make_mut(block);
            block.is_whole = true;
            if let Some(room) = &mut self.0 {
                room.add_block(send.channels(), &mut block.left, &mut block.right);
            }
            block.sounds = sounds(&block.left) || sounds(&block.right);
        }
    }
}

/// A bus for each group, ready to play from the beginning; of what was recorded only what was not
/// kept is played again.
pub(super) fn buses<'a>(
    take: &Performance,
    studio: &dyn Studio,
    groups: &[Group],
    desk: &Desk,
    recording: Option<&'a Recording>,
) -> Result<Vec<Bus<'a>>, MixError> {
    let kept_bus = |(number, group): (usize, &Group)| {
        let play = || bus(take, studio, group, desk);
        match recording.map(|recording| recording.kept(number)).transpose()?.flatten() {
            None => play(),
            Some((0, kept)) => {
                let players = Players::Kept { before: None, kept };
                Ok(Bus { players, room: BusRoom::default() })
            }
            Some((blocks, kept)) => {
                let Bus { players, room } = play()?;
                let before = Some((Box::new(players), blocks));
                Ok(Bus { players: Players::Kept { before, kept }, room })
            }
        }
    };
    groups.iter().enumerate().map(kept_bus).collect()
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
        strips.push(Strip { part: part.part, stem, place, send, dry: Vec::new() });
    }
    let room = strips.iter().any(|strip| strip.send.is_some()).then(|| studio.room());
    Ok((Stems(strips), BusRoom(room)))
}
