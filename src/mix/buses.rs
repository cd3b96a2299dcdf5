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
pub(super) const BLOCK: usize = 8192;

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
    /// The blocks at hand.
    dry: Vec<Block>,
}

impl Strip {
    fn advance(&mut self, blocks: usize) -> Result<(), MixError> {
        let Strip { part, stem, dry, .. } = self;
        dry.resize_with(blocks, Block::silent);
        for Block { left, right, .. } in dry {
            left.fill(0.0);
            right.fill(0.0);
            stem.add_block(left, right)
                .map_err(|message| MixError::Stem { part: *part, message })?;
        }
        Ok(())
    }
}

/// A group of stems with their room. The two can work at the same time: the room hears what the
/// players have played.
pub(super) struct Bus {
    pub(super) players: Players,
    pub(super) room: BusRoom,
}

/// The stems of a bus.
pub(super) struct Players(Vec<Strip>);

impl Players {
    /// Makes the next blocks, dry, and what of them goes to the room; spread over threads, all stems
    /// at the same time.
    ///
    /// # Errors
    /// Where a note has no sound.
    pub(super) fn play(
        &mut self,
        blocks: &mut [(&mut Block, &mut Block)],
        spread: bool,
    ) -> Result<(), MixError> {
        let (strips, count) = (&mut self.0, blocks.len());
        if spread {
            let made: Vec<_> = strips.par_iter_mut().map(|strip| strip.advance(count)).collect();
            made.into_iter().collect::<Result<(), MixError>>()?;
        } else {
            strips.iter_mut().try_for_each(|strip| strip.advance(count))?;
        }
        for (time, (block, send)) in blocks.iter_mut().enumerate() {
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
pub(super) struct BusRoom(Option<Box<dyn RoomSource>>);

impl BusRoom {
    /// Adds the room's answer to blocks, of each that which was sent.
    pub(super) fn ring(&mut self, blocks: &mut [(&mut Block, &mut Block)]) {
        for (block, send) in blocks {
            if let Some(room) = &mut self.0 {
                room.add_block(send.channels(), &mut block.left, &mut block.right);
            }
            block.sounds = block.left.iter().chain(&block.right).any(|sample| sample.abs() > 0.0);
        }
    }
}

/// [`BLOCK`] frames of two channels, or none, which stand for silence.
#[derive(Debug, Default)]
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

    /// Adds a signal in its place; the first of several takes the place of what is there.
    fn lay(&mut self, from: [&[f32]; 2], place: &Matrix, is_first: bool) {
        self.left.resize(BLOCK, 0.0);
        self.right.resize(BLOCK, 0.0);
        place.lay(from, &mut self.left, &mut self.right, is_first);
    }

    /// Becomes like another, in the memory that it has.
    pub(super) fn copy_from(&mut self, other: &Block) {
        self.left.clone_from(&other.left);
        self.right.clone_from(&other.right);
        self.sounds = other.sounds;
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

    /// The blocks of the players, added up.
    pub(super) fn add_up_players(&self, blocks: &[Block], sum: &mut Block) {
        let mut is_first = true;
        for (block, place) in self.heard(blocks, true) {
            sum.lay(block.channels(), place, is_first);
            is_first = false;
        }
        if is_first {
            sum.left.fill(0.0);
            sum.right.fill(0.0);
        }
    }

    /// Adds the blocks of click and count-in.
    pub(super) fn add_pulses(&self, blocks: &[Block], sum: &mut Block) {
        for (block, place) in self.heard(blocks, false) {
            sum.lay(block.channels(), place, false);
        }
    }

    /// Whether click or count-in sound in these blocks.
    pub(super) fn has_pulses(&self, blocks: &[Block]) -> bool {
        self.heard(blocks, false).next().is_some()
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

impl Group {
    /// Whether it sounds all through a take.
    pub(super) fn is_of_players(&self) -> bool {
        self.kind == BusKind::Programme
    }
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
        strips.push(Strip { part: part.part, stem, place, send, dry: Vec::new() });
    }
    let room = strips.iter().any(|strip| strip.send.is_some()).then(|| studio.room());
    Ok(Bus { players: Players(strips), room: BusRoom(room) })
}

fn kind(part: Part) -> BusKind {
    match part {
        Part::Click => BusKind::Click,
        Part::CountIn => BusKind::CountIn,
        Part::Comp | Part::Bass | Part::Drums | Part::Line => BusKind::Programme,
    }
}
