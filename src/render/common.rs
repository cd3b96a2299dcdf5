//! What takes of a set play alike: a drummer plays the same in every key.

use std::collections::BTreeSet;
use std::sync::{Arc, Mutex};

use crate::mix::CommonBus;
use crate::performance::{Part, PerformedPart};
use crate::plan::{Plan, TakePlan};
use crate::units::SampleRate;

use super::lock;

/// Buses of takes up to so long are kept for the takes that have them in common, in seconds: four
/// minutes are 85 MB.
const MOST_SECONDS: u64 = 240;

/// The buses that takes of a set have in common, each kept from the first take that plays it to the
/// last.
pub(super) struct CommonBuses(Mutex<Kept>);

struct Kept {
    /// The takes that are still to be made, by their places in the plan.
    to_make: BTreeSet<usize>,
    buses: Vec<Shared>,
}

struct Shared {
    parts: Vec<Part>,
    /// Those still to be made among the takes that play it.
    takes: BTreeSet<usize>,
    bus: Arc<CommonBus>,
}

impl CommonBuses {
    /// For the takes of a plan that are to be made.
    pub(super) fn new(takes: &[usize]) -> CommonBuses {
        let to_make = takes.iter().copied().collect();
        CommonBuses(Mutex::new(Kept { to_make, buses: Vec::new() }))
    }

    /// The bus of some parts of a take, where another take that is still to be made plays the same.
    pub(super) fn bus(
        &self,
        plan: &Plan,
        take: usize,
        parts: &[Part],
        rate: SampleRate,
    ) -> Option<Arc<CommonBus>> {
        let Kept { to_make, buses } = &mut *lock(&self.0);
        let known = buses.iter().find(|bus| bus.parts == parts && bus.takes.contains(&take));
        if let Some(known) = known {
            return Some(known.bus.clone());
        }
        let this = plan.takes.get(take)?;
        if this.frames(rate) > rate.seconds(MOST_SECONDS) {
            return None;
        }
        let plays_it = |other: &&usize| {
            plan.takes.get(**other).is_some_and(|other| are_alike(this, other, parts))
        };
        let takes: BTreeSet<usize> = to_make.iter().filter(plays_it).copied().collect();
        if takes.len() < 2 || !takes.contains(&take) {
            return None;
        }
        let bus = Arc::new(CommonBus::default());
        buses.push(Shared { parts: parts.to_owned(), takes, bus: bus.clone() });
        Some(bus)
    }

    /// Lets go of what only a take needed that is done.
    pub(super) fn done(&self, take: usize) {
        let Kept { to_make, buses } = &mut *lock(&self.0);
        to_make.remove(&take);
        buses.retain_mut(|bus| {
            bus.takes.remove(&take);
            !bus.takes.is_empty()
        });
    }
}

/// Whether some parts of two takes sound the same from the first frame to the last.
fn are_alike(one: &TakePlan, other: &TakePlan, parts: &[Part]) -> bool {
    let (ones, others) = (&one.notes, &other.notes);
    one.track == other.track
        && ones.timeline.loops == others.timeline.loops
        && ones.performance.tempo == others.performance.tempo
        && ones.performance.end == others.performance.end
        && parts.iter().all(|part| performed(one, *part) == performed(other, *part))
}

fn performed(take: &TakePlan, part: Part) -> Option<&PerformedPart> {
    take.notes.performance.parts.iter().find(|performed| performed.part == part)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lesson::{Lesson, NoNeighbours};
    use crate::performance::Part::{Bass, Drums};
    use crate::style::Library;

    const LESSON: &str = r#"
        format = 1
        title = "Keys"
        [[chart]]
        name = "cadence"
        key = "C"
        A = "| Dm7 G7 | Cmaj7 |"
        [[track]]
        name = "band"
        chart = "cadence"
        comp = "rootless"
        bass = "walking"
        drums = "ride"
        tempos = [100, 140]
        keys = ["C", "F", "Bb"]
    "#;

    #[test]
    fn the_drums_of_a_tempo_are_kept_from_its_first_take_to_its_last() {
        let library = Library::built_in();
        let lesson = Lesson::read("lesson.toml", LESSON, &NoNeighbours, &library).unwrap();
        let plan = Plan::of(&lesson, &library, |_| true).unwrap();
        let of_tempo = |bpm: f64| {
            let of_tempo = |take: &usize| (plan.takes[*take].tempo.get() - bpm).abs() < 0.1;
            (0..plan.takes.len()).filter(of_tempo).collect::<Vec<usize>>()
        };
        let (slow, fast) = (of_tempo(100.0), of_tempo(140.0));
        assert_eq!((slow.len(), fast.len()), (3, 3));
        let common = CommonBuses::new(&[0, 1, 2, 3, 4, 5]);
        let bus = |take: usize, parts: &[Part]| common.bus(&plan, take, parts, lesson.rate);

        let drums = bus(slow[0], &[Drums]).unwrap();
        assert!(Arc::ptr_eq(&drums, &bus(slow[1], &[Drums]).unwrap()));
        assert!(!Arc::ptr_eq(&drums, &bus(fast[0], &[Drums]).unwrap()));
        assert!(bus(slow[0], &[Bass]).is_none());
        assert!(bus(slow[0], &[Bass, Drums]).is_none());

        slow[..2].iter().for_each(|take| common.done(*take));
        assert!(Arc::ptr_eq(&drums, &bus(slow[2], &[Drums]).unwrap()));
        common.done(slow[2]);
        assert_eq!(Arc::strong_count(&drums), 1);
        // Nobody is left to play with.
        let last = CommonBuses::new(&fast[2..]);
        assert!(last.bus(&plan, fast[2], &[Drums], lesson.rate).is_none());
    }
}
