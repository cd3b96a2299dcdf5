//! Stems that are heard together in every mix share a bus, and a room.
//!
//! The room is linear, so the room of a sum is the sum of the rooms: what never has to be told
//! apart needs one room only. A take with a single mix has one bus; one with "band", "without
//! bass" and "without comp" has three.

use rayon::prelude::*;

use super::desk::Desk;
use super::error::MixError;
use super::pan::Matrix;
use super::source::{RoomSource, StemSource, Studio};
use super::spec::MixSpec;
use crate::feel::Performance;
use crate::part::Part;

/// Frames that go through the whole mix at a time: small enough for a processor's cache.
pub(super) const BLOCK: usize = 4096;

/// What a bus carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum BusKind {
    /// Players.
    Programme,
    /// The click.
    Click,
    /// The count-in.
    CountIn,
}

/// One part on its way to a bus.
struct Strip {
    part: Part,
    stem: Box<dyn StemSource>,
    place: Matrix,
    send: Option<Matrix>,
    dry: Block,
}

impl Strip {
    fn advance(&mut self) -> Result<(), MixError> {
        let Strip { part, stem, dry, .. } = self;
        dry.clear();
        stem.add_block(&mut dry.left, &mut dry.right)
            .map_err(|message| MixError::Stem { part: *part, message })
    }
}

/// A group of stems with their room.
pub(super) struct Bus {
    strips: Vec<Strip>,
    room: Option<Box<dyn RoomSource>>,
    send: Block,
}

impl Bus {
    /// Makes the next block, dry and wet together; spread over threads, its stems at the same time.
    ///
    /// # Errors
    /// Where a note has no sound.
    pub(super) fn advance(&mut self, block: &mut Block, spread: bool) -> Result<(), MixError> {
        if spread {
            let made: Vec<_> = self.strips.par_iter_mut().map(Strip::advance).collect();
            made.into_iter().collect::<Result<(), MixError>>()?;
        } else {
            self.strips.iter_mut().try_for_each(Strip::advance)?;
        }
        block.clear();
        block.left.resize(BLOCK, 0.0);
        block.right.resize(BLOCK, 0.0);
        self.send.clear();
        for Strip { place, send, dry, .. } in &self.strips {
            place.add(dry.channels(), &mut block.left, &mut block.right);
            if let Some(send) = send {
                send.add(dry.channels(), &mut self.send.left, &mut self.send.right);
            }
        }
        if let Some(room) = &mut self.room {
            room.add_block(self.send.channels(), &mut block.left, &mut block.right);
        }
        block.sounds = block.left.iter().chain(&block.right).any(|sample| sample.abs() > 0.0);
        Ok(())
    }
}

/// [`BLOCK`] frames of two channels, or none, which stand for silence.
#[derive(Debug, Clone, Default)]
pub(super) struct Block {
    pub(super) left: Vec<f32>,
    pub(super) right: Vec<f32>,
    /// Whether any sample of a block from a bus is not 0.
    pub(super) sounds: bool,
}

impl Block {
    pub(super) fn silent() -> Block {
        Block { left: vec![0.0; BLOCK], right: vec![0.0; BLOCK], sounds: false }
    }

    pub(super) fn clear(&mut self) {
        self.left.fill(0.0);
        self.right.fill(0.0);
    }

    pub(super) fn copy_from(&mut self, other: &Block) {
        self.left.copy_from_slice(&other.left);
        self.right.copy_from_slice(&other.right);
    }

    pub(super) fn channels(&self) -> [&[f32]; 2] {
        [&self.left, &self.right]
    }
}

/// Where a mix hears each bus, gain included.
#[derive(Debug, Clone)]
pub(super) struct Places(Vec<(BusKind, Option<Matrix>)>);

impl Places {
    /// The places of one mix, each at the gain of its kind.
    pub(super) fn of(groups: &[Group], mix: usize, gain: impl Fn(BusKind) -> f64) -> Places {
        let place = |group: &Group| {
            let pan = group.placements.get(mix).copied().flatten();
            (group.kind, pan.map(|pan| Matrix::new(1.0, pan).scaled(gain(group.kind))))
        };
        Places(groups.iter().map(place).collect())
    }

    /// Adds the blocks of the players.
    pub(super) fn add_players(&self, blocks: &[Block], sum: &mut Block) {
        self.add(blocks, true, sum);
    }

    /// Adds the blocks of click and count-in.
    pub(super) fn add_pulses(&self, blocks: &[Block], sum: &mut Block) {
        self.add(blocks, false, sum);
    }

    /// Whether click or count-in sound in these blocks.
    pub(super) fn has_pulses(&self, blocks: &[Block]) -> bool {
        self.heard(blocks, false).next().is_some()
    }

    fn add(&self, blocks: &[Block], players: bool, sum: &mut Block) {
        for (block, place) in self.heard(blocks, players) {
            place.add(block.channels(), &mut sum.left, &mut sum.right);
        }
    }

    fn heard<'a>(
        &'a self,
        blocks: &'a [Block],
        players: bool,
    ) -> impl Iterator<Item = (&'a Block, &'a Matrix)> {
        let wanted = move |kind: BusKind| (kind == BusKind::Programme) == players;
        let placed = blocks.iter().zip(&self.0);
        let sounding = placed.filter(move |(block, (kind, _))| block.sounds && wanted(*kind));
        sounding.filter_map(|(block, (_, place))| place.as_ref().map(|place| (block, place)))
    }
}

/// Parts that are heard together in every one of some mixes, and so share a bus.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Group {
    kind: BusKind,
    parts: Vec<Part>,
    /// Where they are in each mix; `None` where they are not heard.
    placements: Vec<Option<f64>>,
}

/// The groups that these mixes make of the parts of a take.
pub(super) fn groups(take: &Performance, mixes: &[MixSpec]) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for part in &take.parts {
        let (part, kind) = (part.part, kind(part.part));
        let placements: Vec<_> = mixes.iter().map(|mix| mix.placement(part)).collect();
        if placements.iter().all(Option::is_none) {
            continue;
        }
        let alike = |group: &&mut Group| group.kind == kind && group.placements == placements;
        match groups.iter_mut().find(alike) {
            Some(group) => group.parts.push(part),
            None => groups.push(Group { kind, parts: vec![part], placements }),
        }
    }
    groups
}

/// A bus for each group, ready to play from the beginning.
pub(super) fn buses(
    take: &Performance,
    studio: &dyn Studio,
    groups: &[Group],
    desk: &Desk,
) -> Result<Vec<Bus>, MixError> {
    groups.iter().map(|group| bus(take, studio, group, desk)).collect()
}

fn bus(
    take: &Performance,
    studio: &dyn Studio,
    group: &Group,
    desk: &Desk,
) -> Result<Bus, MixError> {
    let mut strips = Vec::new();
    for part in take.parts.iter().filter(|part| group.parts.contains(&part.part)) {
        let stem = studio
            .stem(take, part)
            .map_err(|message| MixError::Stem { part: part.part, message })?;
        let channel = desk.channel(part.part);
        let place = Matrix::new(channel.gain.gain(), channel.pan);
        let send = channel.room.map(|room| place.scaled(room.gain()));
        strips.push(Strip { part: part.part, stem, place, send, dry: Block::silent() });
    }
    let room = strips.iter().any(|strip| strip.send.is_some()).then(|| studio.room());
    Ok(Bus { strips, room, send: Block::silent() })
}

fn kind(part: Part) -> BusKind {
    match part {
        Part::Click => BusKind::Click,
        Part::CountIn => BusKind::CountIn,
        Part::Comp | Part::Bass | Part::Drums | Part::Line => BusKind::Programme,
    }
}
