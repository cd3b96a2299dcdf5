//! What takes have in common is played once and sounds as if each had played it for itself.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use crate::support::{Sines, Tape, take};
use countoff::mix::{
    CommonBus, MixSettings, MixSpec, RoomSource, StemSource, Studio, TakeReport, render,
};
use countoff::performance::Part::{self, Bass, Click, Comp, CountIn, Drums};
use countoff::performance::{Performance, PerformedPart};

/// Drums are a bus of their own, and so is each of the others.
fn mixes() -> [MixSpec; 3] {
    [&[Comp, Bass, Drums, Click][..], &[Bass, Drums], &[Comp, Drums]].map(MixSpec::of)
}

/// Takes whose drums are alike, in several keys.
fn takes() -> Vec<Performance> {
    let take = take(6, &[Comp, Bass, Drums, Click, CountIn]);
    let transposed = |steps: u8| {
        let mut take = take.clone();
        let pitched = |part: &&mut PerformedPart| matches!(part.part, Comp | Bass);
        for part in take.parts.iter_mut().filter(pitched) {
            part.notes.iter_mut().for_each(|note| note.pitch += steps);
        }
        take
    };
    (0..4).map(transposed).collect()
}

/// Sines, with drums that takes have in common and that may give up.
struct Joint {
    sines: Sines,
    drums: Option<Arc<CommonBus>>,
    drum_stems: AtomicUsize,
    /// How many blocks the drums play before they fail.
    last: usize,
}

impl Joint {
    fn new(drums: Option<Arc<CommonBus>>, last: usize) -> Joint {
        let rate = MixSettings::default().rate;
        let sines = Sines { rate, amplitude: 0.2, has_room: true, drum_decay: 2.0 };
        Joint { sines, drums, drum_stems: AtomicUsize::new(0), last }
    }

    fn mixed(&self, take: &Performance, player_thread: bool) -> (TakeReport, Vec<Tape>) {
        let settings = MixSettings { player_thread, ..MixSettings::default() };
        render(take, self, &mixes(), &settings, |_, _| Ok(Tape::default())).unwrap()
    }
}

impl Studio for Joint {
    fn stem(
        &self,
        take: &Performance,
        part: &PerformedPart,
    ) -> Result<Box<dyn StemSource>, String> {
        let stem = self.sines.stem(take, part)?;
        if part.part != Drums {
            return Ok(stem);
        }
        self.drum_stems.fetch_add(1, Ordering::Relaxed);
        Ok(Box::new(Failing { stem, left: self.last }))
    }

    fn room(&self) -> Box<dyn RoomSource> {
        self.sines.room()
    }

    fn common(&self, _: &Performance, parts: &[Part]) -> Option<Arc<CommonBus>> {
        self.drums.clone().filter(|_| parts == [Drums])
    }
}

struct Failing {
    stem: Box<dyn StemSource>,
    left: usize,
}

impl StemSource for Failing {
    fn add_block(&mut self, left: &mut [f32], right: &mut [f32]) -> Result<(), String> {
        self.left = self.left.checked_sub(1).ok_or("a stick is broken")?;
        self.stem.add_block(left, right)
    }
}

#[test]
fn takes_with_common_drums_are_the_same_to_the_bit_as_each_alone() {
    let alone = Joint::new(None, usize::MAX);
    let expected: Vec<_> = takes().iter().map(|take| alone.mixed(take, false)).collect();
    for player_thread in [false, true] {
        let joint = Joint::new(Some(Arc::default()), usize::MAX);
        // All at the same time, so that they wait for each other.
        let made: Vec<_> = std::thread::scope(|scope| {
            let takes = takes();
            let making = takes.into_iter().map(|take| {
                let joint = &joint;
                scope.spawn(move || joint.mixed(&take, player_thread))
            });
            let making: Vec<_> = making.collect();
            making.into_iter().map(|take| take.join().unwrap()).collect()
        });
        assert!(made == expected, "player_thread: {player_thread}");
        assert_eq!(joint.drum_stems.load(Ordering::Relaxed), 1);
    }
}

/// One that went on after a failure would be out of step with the others.
#[test]
fn once_the_common_drums_fail_they_fail_for_all() {
    let joint = Joint::new(Some(Arc::default()), 3);
    for take in takes() {
        let settings = MixSettings::default();
        let failed = render(&take, &joint, &mixes(), &settings, |_, _| Ok(Tape::default()));
        assert_eq!(
            failed.unwrap_err().to_string(),
            "the drums cannot be played: a stick is broken"
        );
    }
    assert_eq!(joint.drum_stems.load(Ordering::Relaxed), 1);
}
