//! The chords of a timeline, one after the other.

use std::sync::Arc;

use super::tones::ChordTones;
use crate::arrange::Timeline;
use crate::theory::Harmony;
use crate::units::Ticks;

/// A chord and the time that it fills.
#[derive(Debug, Clone)]
pub(super) struct ChordSpan {
    pub(super) start: Ticks,
    pub(super) end: Ticks,
    pub(super) harmony: Arc<Harmony>,
    pub(super) tones: ChordTones,
    /// False where the chord before it goes on: the same symbol again, without a rest between.
    pub(super) is_new: bool,
}

/// All chords in order; N.C. and the count-in leave gaps.
pub(super) fn chord_spans(timeline: &Timeline) -> Vec<ChordSpan> {
    let mut spans: Vec<ChordSpan> = Vec::new();
    for slot in timeline.bars.iter().flat_map(|bar| &bar.slots) {
        let Some(harmony) = &slot.harmony else { continue };
        let goes_on = spans
            .last()
            .is_some_and(|before| before.end == slot.at && before.harmony.symbol == harmony.symbol);
        spans.push(ChordSpan {
            start: slot.at,
            end: slot.at + slot.length,
            tones: ChordTones::of(harmony),
            harmony: Arc::clone(harmony),
            is_new: !goes_on,
        });
    }
    spans
}

/// The chord that sounds at a moment.
pub(super) fn chord_at(spans: &[ChordSpan], at: Ticks) -> Option<&ChordSpan> {
    let after = spans.partition_point(|span| span.start <= at);
    spans.get(after.checked_sub(1)?).filter(|span| at < span.end)
}
