//! Stems that are heard together in every mix share a bus, and a room.
//!
//! The room is linear, so the room of a sum is the sum of the rooms: what never has to be told
//! apart needs one room only. A take with a single mix has one bus; one with "band", "without
//! bass" and "without comp" has three.

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
}

/// A group of stems with their room.
pub(super) struct Bus {
    pub(super) kind: BusKind,
    /// The place of the bus in each mix, where it is heard there.
    pub(super) places: Vec<Option<Matrix>>,
    strips: Vec<Strip>,
    room: Option<Box<dyn RoomSource>>,
    dry: Stereo,
    send: Stereo,
    sum: Stereo,
}

impl Bus {
    /// The block made last.
    pub(super) fn block(&self) -> [&[f32]; 2] {
        self.sum.both()
    }

    /// Makes the next block.
    pub(super) fn advance(&mut self, frames: usize) -> Result<(), MixError> {
        self.sum.clear(frames);
        self.send.clear(frames);
        for strip in &mut self.strips {
            self.dry.clear(frames);
            let dry = &mut self.dry;
            strip
                .stem
                .add_block(&mut dry.left, &mut dry.right)
                .map_err(|message| MixError::Stem { part: strip.part, message })?;
            strip.place.add(self.dry.both(), &mut self.sum.left, &mut self.sum.right);
            if let Some(send) = &strip.send {
                send.add(self.dry.both(), &mut self.send.left, &mut self.send.right);
            }
        }
        if let Some(room) = &mut self.room {
            room.add_block(self.send.both(), &mut self.sum.left, &mut self.sum.right);
        }
        Ok(())
    }
}

/// A stereo block.
#[derive(Debug, Clone, Default)]
pub(super) struct Stereo {
    pub(super) left: Vec<f32>,
    pub(super) right: Vec<f32>,
}

impl Stereo {
    /// Makes it this many frames of silence.
    pub(super) fn clear(&mut self, frames: usize) {
        for channel in [&mut self.left, &mut self.right] {
            channel.clear();
            channel.resize(frames, 0.0);
        }
    }

    pub(super) fn both(&self) -> [&[f32]; 2] {
        [&self.left, &self.right]
    }
}

/// Adds the blocks of the wanted buses to a sum, each in its place.
pub(super) fn add_up(
    buses: &[Bus],
    places: &[Option<Matrix>],
    wanted: impl Fn(BusKind) -> bool,
    sum: &mut Stereo,
) {
    for (bus, place) in buses.iter().zip(places).filter(|(bus, _)| wanted(bus.kind)) {
        if let Some(place) = place {
            place.add(bus.block(), &mut sum.left, &mut sum.right);
        }
    }
}

/// The buses that these mixes of a take need, ready to play from the beginning.
pub(super) fn buses(
    take: &Performance,
    studio: &dyn Studio,
    mixes: &[MixSpec],
    desk: &Desk,
) -> Result<Vec<Bus>, MixError> {
    let mut buses: Vec<(Vec<Option<f64>>, Bus)> = Vec::new();
    for part in &take.parts {
        let placements: Vec<Option<f64>> =
            mixes.iter().map(|mix| mix.placement(part.part)).collect();
        if placements.iter().all(Option::is_none) {
            continue;
        }
        let stem = studio
            .stem(take, part)
            .map_err(|message| MixError::Stem { part: part.part, message })?;
        let channel = desk.channel(part.part);
        let place = Matrix::new(channel.gain.gain(), channel.pan);
        let send = channel.room.map(|room| place.scaled(room.gain()));
        let strip = Strip { part: part.part, stem, place, send };
        let kind = kind(part.part);
        let alike =
            |(others, bus): &(Vec<Option<f64>>, Bus)| bus.kind == kind && *others == placements;
        let index = match buses.iter().position(alike) {
            Some(index) => index,
            None => {
                buses.push((placements.clone(), empty(kind, &placements)));
                buses.len() - 1
            }
        };
        let bus = &mut buses[index].1;
        if send.is_some() && bus.room.is_none() {
            bus.room = Some(studio.room());
        }
        bus.strips.push(strip);
    }
    Ok(buses.into_iter().map(|(_, bus)| bus).collect())
}

fn empty(kind: BusKind, placements: &[Option<f64>]) -> Bus {
    Bus {
        kind,
        places: placements.iter().map(|pan| pan.map(|pan| Matrix::new(1.0, pan))).collect(),
        strips: Vec::new(),
        room: None,
        dry: Stereo::default(),
        send: Stereo::default(),
        sum: Stereo::default(),
    }
}

fn kind(part: Part) -> BusKind {
    match part {
        Part::Click => BusKind::Click,
        Part::CountIn => BusKind::CountIn,
        Part::Comp | Part::Bass | Part::Drums | Part::Line => BusKind::Programme,
    }
}
