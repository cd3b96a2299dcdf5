//! The studio that mixes are made in: stems and rooms from a SoundFont.

use std::fs::File;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::lesson::Lesson;
use crate::mix::{CommonBus, Extent, MixSettings, RoomSource, StemSource, Studio};
use crate::performance::{Part, Performance, PerformedPart};
use crate::plan::TakePlan;
use crate::sound::{Room, Sounds, StemRenderer};

use crate::units::{Frames, SampleRate};

/// Silence before tick 0 in every sound file, so that no player swallows the first stroke: about
/// a hundredth of a second.
pub const LEADING_SILENCE: Frames = Frames(512);

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
        let filled = rate.seconds(FILLED_SECONDS).0;
        Rounds { length, before: filled.div_ceil(length.0.max(1)).max(1) }
    }

    /// The pass that is given out.
    pub(super) fn extent(self) -> Extent {
        let from = Frames(self.before * self.length.0);
        Extent::Cut { from, to: from + self.length }
    }

    /// Where passes begin, the last of them for the limiter to look ahead at. Each starts on a
    /// whole frame, so that all are alike to the sample.
    fn starts(self) -> impl Iterator<Item = Frames> {
        (0..self.before + 2).map(move |pass| Frames(pass * self.length.0))
    }
}

/// How a take is played round and round, where it is.
pub(super) fn rounds(take: &TakePlan, rate: SampleRate) -> Option<Rounds> {
    take.notes.timeline.loops.then(|| Rounds::of(take.frames(rate), rate))
}

/// How a take is mixed; a long one has a thread for its players where there are threads to spare.
pub(super) fn settings(lesson: &Lesson, take: &TakePlan, has_spare_threads: bool) -> MixSettings {
    MixSettings {
        rate: lesson.rate,
        target: lesson.loudness_target,
        level: lesson.level,
        player_thread: has_spare_threads && is_long(take, lesson.rate),
        extent: rounds(take, lesson.rate).map_or(Extent::Whole, Rounds::extent),
        ..MixSettings::default()
    }
}

/// Whether a take is worth threads of its own, which are some more work: a shorter one takes a third
/// of a second (measured).
fn is_long(take: &TakePlan, rate: SampleRate) -> bool {
    const SECONDS: u64 = 300;
    take.frames(rate) > rate.seconds(SECONDS)
}

/// The bus of some parts of a take, where other takes have it in common.
pub(super) type CommonSource<'a> = dyn Fn(&[Part]) -> Option<Arc<CommonBus>> + Sync + 'a;

/// A SoundFont's sounds, as the mix asks for them.
pub(super) struct SoundStudio<'a> {
    pub(super) sounds: &'a Sounds,
    pub(super) common: &'a CommonSource<'a>,
    /// Where files may be for the time being.
    pub(super) folder: &'a Path,
    /// How the take is played round and round, where it is.
    pub(super) rounds: Option<Rounds>,
    /// Set by whoever wants the work to stop soon.
    pub(super) stop: &'a AtomicBool,
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
        let room = Room::new(self.sounds.rate());
        if self.rounds.is_some_and(|rounds| rounds.length.0 % 2 == 1) {
            Box::new(TwinRooms::new(room))
        } else {
            Box::new(StudioRoom(room))
        }
    }

    fn common(&self, _take: &Performance, parts: &[Part]) -> Option<Arc<CommonBus>> {
        (self.common)(parts)
    }

    fn is_stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    fn file(&self) -> std::io::Result<File> {
        tempfile::tempfile_in(self.folder)
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

/// A room for passes of an odd number of frames. The room works on every other frame: it would
/// answer every other such pass from the frames between, and what it mirrors around a quarter of
/// the rate would differ. So two of them, one on the even frames and one on the odd ones, answer
/// half of it each: what they answer together does not depend on where a sound begins.
pub(super) struct TwinRooms {
    rooms: [Room; 2],
    /// Half of what they hear, and their answers.
    halves: [Vec<f32>; 2],
    answers: [Vec<f32>; 2],
}

impl TwinRooms {
    /// Of a silent room.
    pub(super) fn new(even: Room) -> TwinRooms {
        let mut odd = even.clone();
        // A frame of silence before all others; its answer is silence too.
        odd.add(&[0.0], &[0.0], &mut [0.0], &mut [0.0]);
        TwinRooms { rooms: [even, odd], halves: Default::default(), answers: Default::default() }
    }
}

impl RoomSource for TwinRooms {
    fn add_block(&mut self, send: [&[f32]; 2], left: &mut [f32], right: &mut [f32]) {
        for (half, send) in self.halves.iter_mut().zip(send) {
            half.clear();
            half.extend(send.iter().map(|sample| 0.5 * sample));
        }
        let [one, other] = &mut self.answers;
        for (answer, out) in [(&mut *one, &*left), (&mut *other, &*right)] {
            answer.clear();
            answer.resize(out.len(), 0.0);
        }
        for room in &mut self.rooms {
            room.add(&self.halves[0], &self.halves[1], one, other);
        }
        for (out, answer) in [(left, one), (right, other)] {
            for (out, answer) in out.iter_mut().zip(answer) {
                *out += *answer;
            }
        }
    }
}
