//! Chords that begin on their third or fifth.

use super::spans::ChordSpan;
use super::steps::Step;
use crate::arrange::{BarKind, TimelineBar};
use crate::part::{Choice, PlayContext};
use crate::style::BassRole;
use crate::theory::Harmony;

/// Of the chords that do not begin on their root, how many begin on the third where the fifth would
/// serve, too (from memory: the third says more of the chord).
const THIRDS: f64 = 0.65;

/// Lets some chords begin on their third or fifth, by the style's share of roots: never two in a
/// row, so that the harmony stays clear, and none before the second chorus, where a section begins,
/// in hits of the whole band, over a written bass, or where a chord is too short to have its root later.
pub(super) fn leave_roots(
    steps: &mut [Step],
    context: PlayContext<'_>,
    spans: &[ChordSpan],
    roots: f64,
) {
    if roots >= 1.0 {
        return;
    }
    let mut was_root = false;
    for of_bar in steps.chunk_by_mut(|step, next| step.bar == next.bar) {
        let bar = of_bar.first().and_then(|step| context.timeline.bars.get(step.bar));
        let Some(bar) = bar else { continue };
        let mut random = Choice::BassChanges.stream(context.seed, bar);
        for step in of_bar.iter_mut().filter(|step| step.begins_chord) {
            // Drawn for every chord, so that no chord has a say in what another one does.
            let (leaves, third) = (!random.chance(roots), random.chance(THIRDS));
            let span = spans.iter().find(|span| span.start == step.at);
            let other = span.and_then(|span| other_than_root(bar, step, span, third));
            step.role = match other.filter(|_| leaves && was_root) {
                Some(role) => role,
                None => BassRole::Root,
            };
            was_root = step.role == BassRole::Root;
        }
    }
}

/// What a chord may begin on but for its root.
fn other_than_root(
    bar: &TimelineBar,
    step: &Step,
    span: &ChordSpan,
    third: bool,
) -> Option<BassRole> {
    let is_chorus = matches!(bar.kind, BarKind::Chorus | BarKind::Answer) && bar.chorus > 0;
    let is_joint = (bar.section.is_some() || bar.form_bar == 0) && step.at == bar.start;
    let is_short = span.end - span.start < bar.meter.count() * 2;
    if !is_chorus || bar.hits.is_some() || is_joint || is_short || has_written_bass(&span.harmony) {
        return None;
    }
    let has_third = !span.harmony.symbol.is_suspended() && span.harmony.symbol.third().is_some();
    let has_fifth = span.tones.fifth.contains(span.tones.root + 7);
    match (has_third, has_fifth) {
        (true, true) if third => Some(BassRole::Third),
        (true, false) => Some(BassRole::Third),
        (_, true) => Some(BassRole::Fifth),
        (false, false) => None,
    }
}

fn has_written_bass(harmony: &Harmony) -> bool {
    harmony.symbol.bass_note().pitch_class() != harmony.symbol.root.pitch_class()
}
