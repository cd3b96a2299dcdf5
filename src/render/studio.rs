//! The studio that mixes are made in: stems and rooms from a SoundFont.

use crate::feel::{Performance, PerformedPart};
use crate::mix::{Extent, RoomSource, StemSource, Studio};
use crate::sound::{Room, Sounds, StemRenderer};

use crate::units::{Frames, SampleRate};

use super::LEADING_SILENCE;

/// How long a loop is played before the pass that is given out, in seconds: by then everything
/// rings that ever rings at once. As long as a take may ring after its end.
const FILLED_SECONDS: u64 = 12;

/// A take that is played round and round.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rounds {
    /// The length of a pass.
    pub(super) length: Frames,
    /// How many passes are played before the one that is given out: they fill the room and leave
    /// their last notes ringing. One, unless a pass is short.
    before: u64,
}

impl Rounds {
    pub(super) fn of(length: Frames, rate: SampleRate) -> Rounds {
        let filled = u64::from(rate.hz()) * FILLED_SECONDS;
        Rounds { length, before: filled.div_ceil(length.0.max(1)).max(1) }
    }

    /// The pass that is given out.
    pub(super) fn extent(self) -> Extent {
        let from = Frames(self.before * self.length.0);
        Extent::Cut { from, to: from + self.length }
    }

    /// Where passes begin, the last of them for the limiter to look ahead at. Each starts on a
    /// whole frame, so that all are alike to the sample; but for what the room, which works on every
    /// other frame, mirrors around a quarter of the rate where a pass has an odd number of them.
    fn starts(self) -> impl Iterator<Item = Frames> {
        (0..self.before + 2).map(move |pass| Frames(pass * self.length.0))
    }
}

/// A SoundFont's sounds, as the mix asks for them.
pub(super) struct SoundStudio<'a> {
    pub(super) sounds: &'a Sounds,
    /// How the take is played round and round, where it is.
    pub(super) rounds: Option<Rounds>,
}

impl Studio for SoundStudio<'_> {
    fn stem(
        &self,
        take: &Performance,
        part: &PerformedPart,
    ) -> Result<Box<dyn StemSource>, String> {
        let starts: Vec<Frames> =
            self.rounds.map_or_else(|| vec![LEADING_SILENCE], |rounds| rounds.starts().collect());
        let stem = self.sounds.stem_of_passes(part, &take.tempo, &starts);
        Ok(Box::new(Stem(stem.map_err(|error| error.to_string())?)))
    }

    fn room(&self) -> Box<dyn RoomSource> {
        Box::new(StudioRoom(Room::new(self.sounds.rate())))
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
