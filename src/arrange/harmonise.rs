//! Chords get their functions, each in view of the chord that really comes next.

use std::sync::Arc;

use super::BarKind;
use super::sketch::{HarmonisedSlot, SketchBar};
use crate::chart::Slot;
use crate::theory::{ChordSymbol, Harmony, analyse};

/// How many chords a chorus looks ahead, so that a dominant at its end knows where it goes.
const LOOK_AHEAD: usize = 8;

/// Gives every chord its function, in the key of its own bar. The last chord of a chorus looks on
/// to what follows, or, where nothing does, to the first chorus's beginning; the first chord of all
/// looks back to the end of its own chorus, so that all choruses are alike.
pub(super) fn harmonise(bars: Vec<SketchBar<Slot>>) -> Vec<SketchBar<HarmonisedSlot>> {
    let passages: Vec<&[SketchBar<Slot>]> = bars
        .chunk_by(|bar, next| (bar.chorus, bar.setting.key) == (next.chorus, next.setting.key))
        .collect();
    let changes: Vec<Vec<&ChordSymbol>> = passages.iter().map(|bars| changes_of(bars)).collect();
    let ends = bars.last().is_some_and(|bar| matches!(bar.kind, BarKind::Ending | BarKind::Outro));

    let mut harmonised = Vec::with_capacity(bars.len());
    for (index, (bars, own)) in passages.iter().zip(&changes).enumerate() {
        let before = match index.checked_sub(1).and_then(|previous| changes.get(previous)) {
            Some(previous) => previous.last().copied(),
            None => last_of_form(bars),
        };
        let first_chorus =
            passages.iter().position(|bars| bars.iter().any(|bar| bar.kind == BarKind::Chorus));
        let around_again = match first_chorus {
            Some(first) if !ends => changes[first].as_slice(),
            _ => &[],
        };
        let later = changes[index + 1..].iter().flatten().chain(around_again).copied();
        let harmonies = in_context(before, own, later.take(LOOK_AHEAD), bars);
        harmonised.extend(with_harmonies(bars, &harmonies));
    }
    harmonised
}

/// The chords of some bars, a chord that only goes on being counted once.
fn changes_of(bars: &[SketchBar<Slot>]) -> Vec<&ChordSymbol> {
    let mut chords: Vec<&ChordSymbol> =
        bars.iter().flat_map(|bar| &bar.slots).filter_map(|slot| slot.chord.as_ref()).collect();
    chords.dedup();
    chords
}

fn last_of_form(bars: &[SketchBar<Slot>]) -> Option<&ChordSymbol> {
    let of_form = bars.iter().filter(|bar| bar.kind == BarKind::Chorus);
    of_form.flat_map(|bar| &bar.slots).filter_map(|slot| slot.chord.as_ref()).next_back()
}

/// The harmonies of a passage's own changes.
fn in_context<'c>(
    before: Option<&'c ChordSymbol>,
    own: &[&'c ChordSymbol],
    later: impl Iterator<Item = &'c ChordSymbol>,
    bars: &[SketchBar<Slot>],
) -> Vec<Arc<Harmony>> {
    let Some(key) = bars.first().map(|bar| bar.setting.key) else { return Vec::new() };
    let before = before.filter(|before| own.first() != Some(before));
    let mut context: Vec<&ChordSymbol> = before.into_iter().chain(own.iter().copied()).collect();
    context.extend(later);
    context.dedup();
    let context: Vec<ChordSymbol> = context.into_iter().cloned().collect();
    let harmonies = analyse(&context, key, false).into_iter().map(Arc::new);
    harmonies.skip(usize::from(before.is_some())).take(own.len()).collect()
}

/// The bars with their harmonies, one for each change.
fn with_harmonies(
    bars: &[SketchBar<Slot>],
    harmonies: &[Arc<Harmony>],
) -> Vec<SketchBar<HarmonisedSlot>> {
    let mut coming = harmonies.iter();
    let mut sounding: Option<&Arc<Harmony>> = None;
    let mut harmonise_slot = |slot: &Slot| {
        let harmony = slot.chord.as_ref().and_then(|chord| {
            if sounding.is_none_or(|harmony| harmony.symbol != *chord) {
                sounding = coming.next();
            }
            sounding.cloned()
        });
        HarmonisedSlot { at: slot.at, length: slot.length, harmony }
    };
    let harmonise_bar = |bar: &SketchBar<Slot>| SketchBar {
        home: bar.home,
        setting: bar.setting,
        tempo: bar.tempo,
        kind: bar.kind,
        chorus: bar.chorus,
        form_bar: bar.form_bar,
        section: bar.section.clone(),
        hits: bar.hits.clone(),
        drums_alone: bar.drums_alone,
        slots: bar.slots.iter().map(&mut harmonise_slot).collect(),
    };
    bars.iter().map(harmonise_bar).collect()
}
