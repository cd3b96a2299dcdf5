//! The studio that mixes are made in: stems and rooms from a SoundFont.

use crate::feel::{Performance, PerformedPart};
use crate::mix::{RoomSource, StemSource, Studio};
use crate::sound::{Room, Sounds, StemRenderer};

use crate::units::Frames;

use super::LEADING_SILENCE;

/// How often a loop is played to get at the pass that is given out, the second: the first fills
/// the room and leaves its last notes ringing, the third is what the limiter looks ahead at.
const PASSES: u64 = 3;

/// A SoundFont's sounds, as the mix asks for them.
pub(super) struct SoundStudio<'a> {
    pub(super) sounds: &'a Sounds,
    /// The length of a pass, where the take is played round and round.
    pub(super) round: Option<Frames>,
}

impl Studio for SoundStudio<'_> {
    fn stem(
        &self,
        take: &Performance,
        part: &PerformedPart,
    ) -> Result<Box<dyn StemSource>, String> {
        let stem =
            |start| self.sounds.stem(part, &take.tempo, start).map_err(|error| error.to_string());
        // Every pass starts on a whole frame, so that all are alike to the sample.
        let passes = match self.round {
            None => vec![stem(LEADING_SILENCE)?],
            Some(round) => (0..PASSES)
                .map(|pass| stem(Frames(pass * round.0)))
                .collect::<Result<Vec<StemRenderer>, String>>()?,
        };
        Ok(Box::new(Stem { passes }))
    }

    fn room(&self) -> Box<dyn RoomSource> {
        Box::new(StudioRoom(Room::new(self.sounds.rate())))
    }
}

/// A part's notes, once for every pass; what rings over from one into the next is simply added.
struct Stem {
    passes: Vec<StemRenderer>,
}

impl StemSource for Stem {
    fn add_block(&mut self, left: &mut [f32], right: &mut [f32]) -> Result<(), String> {
        for pass in &mut self.passes {
            pass.add_block(left, right).map_err(|error| error.to_string())?;
        }
        Ok(())
    }
}

struct StudioRoom(Room);

impl RoomSource for StudioRoom {
    fn add_block(&mut self, send: [&[f32]; 2], left: &mut [f32], right: &mut [f32]) {
        self.0.add(send[0], send[1], left, right);
    }
}
