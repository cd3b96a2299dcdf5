//! A timeline cut into passages: stretches whose chords are voiced in one go.

use std::sync::Arc;

use crate::arrange::{BarKind, Timeline, TimelineBar};
use crate::theory::Harmony;
use crate::units::Ticks;

/// Bars in a row that are voiced in one go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Passage {
    /// For each of its bars the bars of the timeline that are it: more than one where a phrase
    /// is followed by the same bars for the student to answer in.
    pub(super) bars: Vec<Vec<usize>>,
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

impl Passage {
    /// Do both go round over the same chords at the same places? Their functions may differ, as
    /// where the last chorus leads on to an ending.
    pub(super) fn is_like(&self, other: &Passage) -> bool {
        let same = |chord: &PassageChord, other: &PassageChord| {
            (chord.bar, chord.at) == (other.bar, other.at)
                && chord.harmony.symbol == other.harmony.symbol
        };
        let (goes_round, length) = (self.goes_round && other.goes_round, self.bars.len());
        goes_round
            && length == other.bars.len()
            && self.chords.len() == other.chords.len()
            && self.chords.iter().zip(&other.chords).all(|(chord, other)| same(chord, other))
    }
}

/// The passages of a timeline in order; bars without chords, such as a count-in, are in none.
pub(super) fn passages(timeline: &Timeline) -> Vec<Passage> {
    let mut passages: Vec<Passage> = Vec::new();
    let mut start = 0;
    for bars in timeline.bars.chunk_by(belong_together) {
        passages.push(passage(start, bars));
        start += bars.len();
    }
    passages.retain(|passage| !passage.chords.is_empty());
    passages
}

fn belong_together(bar: &TimelineBar, next: &TimelineBar) -> bool {
    (bar.chorus, bar.kind.passage()) == (next.chorus, next.kind.passage())
}

fn passage(start: usize, bars: &[TimelineBar]) -> Passage {
    let goes_round = bars.first().is_some_and(|bar| bar.kind.passage() == BarKind::Chorus);
    let mut passage = Passage { bars: Vec::new(), goes_round, chords: Vec::new() };
    let mut form: Vec<&TimelineBar> = Vec::new();
    for (index, bar) in bars.iter().enumerate() {
        match form.iter().position(|known| is_again(known, bar)) {
            Some(known) => passage.bars[known].push(start + index),
            None => {
                passage.chords.extend(chords(form.len(), bar));
                passage.bars.push(vec![start + index]);
                form.push(bar);
            }
        }
    }
    passage
}

/// The same bar of the form with the same chords?
fn is_again(known: &TimelineBar, bar: &TimelineBar) -> bool {
    let harmonies = |bar: &TimelineBar| -> Vec<_> {
        bar.slots.iter().map(|slot| (slot.at - bar.start, slot.harmony.clone())).collect()
    };
    known.form_bar == bar.form_bar && harmonies(known) == harmonies(bar)
}

fn chords(index: usize, bar: &TimelineBar) -> impl Iterator<Item = PassageChord> + '_ {
    bar.slots.iter().enumerate().filter_map(move |(slot, within)| {
        let harmony = Arc::clone(within.harmony.as_ref()?);
        Some(PassageChord { bar: index, slot, at: within.at - bar.start, harmony })
    })
}
