//! The studio that mixes are made in: stems and rooms from a SoundFont.

use crate::feel::{Performance, PerformedPart};
use crate::mix::{RoomSource, StemSource, Studio};
use crate::sound::{Room, Sounds, StemRenderer};

use super::LEADING_SILENCE;

/// A SoundFont's sounds, as the mix asks for them.
pub(super) struct SoundStudio<'a>(pub(super) &'a Sounds);

impl Studio for SoundStudio<'_> {
    fn stem(
        &self,
        take: &Performance,
        part: &PerformedPart,
    ) -> Result<Box<dyn StemSource>, String> {
        let stem = self.0.stem(part, &take.tempo, LEADING_SILENCE);
        Ok(Box::new(Stem(stem.map_err(|error| error.to_string())?)))
    }

    fn room(&self) -> Box<dyn RoomSource> {
        Box::new(StudioRoom(Room::new(self.0.rate())))
    }
}

struct Stem(StemRenderer);

impl StemSource for Stem {
    fn add_block(&mut self, left: &mut [f32], right: &mut [f32]) -> Result<(), String> {
        self.0.add_block(left, right).map_err(|error| error.to_string())
    }
}

struct StudioRoom(Room);

impl RoomSource for StudioRoom {
    fn add_block(&mut self, send: [&[f32]; 2], left: &mut [f32], right: &mut [f32]) {
        self.0.add(send[0], send[1], left, right);
    }
}
