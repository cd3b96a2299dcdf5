//! A timeline cut into passages: stretches whose chords are voiced in one go.

use std::ops::Range;
use std::sync::Arc;

use crate::arrange::{BarKind, Timeline, TimelineBar};
use crate::theory::Harmony;
use crate::units::Ticks;

/// Bars in a row that are voiced in one go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Passage {
    /// Which bars of the timeline.
    pub(super) bars: Range<usize>,
    /// A chorus leads back to its own start; an announcement or ending only goes on.
    pub(super) goes_round: bool,
    /// Its chords, N.C. left out.
    pub(super) chords: Vec<PassageChord>,
}

/// One chord in its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PassageChord {
    /// Which bar of the passage.
    pub(super) bar: usize,
    /// Which slot of the bar.
    pub(super) slot: usize,
    /// When it begins in its bar.
    pub(super) at: Ticks,
    pub(super) harmony: Arc<Harmony>,
}

/// The passages of a timeline in order; bars without chords, such as a count-in, are in none.
pub(super) fn passages(timeline: &Timeline) -> Vec<Passage> {
    let mut passages: Vec<Passage> = Vec::new();
    let mut start = 0;
    for bars in timeline.bars.chunk_by(belong_together) {
        let range = start..start + bars.len();
        start = range.end;
        let goes_round =
            bars.first().is_some_and(|bar| matches!(bar.kind, BarKind::Chorus | BarKind::Answer));
        let chords = bars.iter().enumerate().flat_map(|(index, bar)| chords(index, bar)).collect();
        passages.push(Passage { bars: range, goes_round, chords });
    }
    passages.retain(|passage| !passage.chords.is_empty());
    passages
}

fn belong_together(bar: &TimelineBar, next: &TimelineBar) -> bool {
    let class = |kind| match kind {
        BarKind::LeadIn | BarKind::CountIn => 0,
        BarKind::Chorus | BarKind::Answer => 1,
        BarKind::Announce => 2,
        BarKind::Ending => 3,
    };
    bar.chorus == next.chorus && class(bar.kind) == class(next.kind)
}

fn chords(index: usize, bar: &TimelineBar) -> impl Iterator<Item = PassageChord> + '_ {
    bar.slots.iter().enumerate().filter_map(move |(slot, within)| {
        let harmony = Arc::clone(within.harmony.as_ref()?);
        Some(PassageChord { bar: index, slot, at: within.at - bar.start, harmony })
    })
}
