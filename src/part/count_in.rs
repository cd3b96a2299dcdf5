//! The count-in.

use super::click::{ClickSound, beats, part_notes, stroke};
use super::{Part, PartNotes};
use crate::arrange::{BarKind, Timeline, TimelineBar};
use crate::units::Meter;

/// The strokes that count a band in: `1 . 2 . | 1 2 3 4`. The last bar has every count, those
/// before it have half of them; each bar's first stroke is the higher one.
#[must_use]
pub fn count_in(timeline: &Timeline, sound: ClickSound) -> PartNotes {
    let counted: Vec<&TimelineBar> =
        timeline.bars.iter().filter(|bar| bar.kind == BarKind::CountIn).collect();
    let mut notes = Vec::new();
    for (index, bar) in counted.iter().enumerate() {
        let is_last = index + 1 == counted.len();
        let counts = if is_last { every_count(bar) } else { half_counts(bar.meter) };
        notes.extend(counts.into_iter().map(|count| stroke(bar, count, count == 1, sound)));
    }
    part_notes(Part::CountIn, notes)
}

/// Above this many beats a minute, the eighths of 6/8 are too fast to count: 240 strokes a
/// minute, as the quarters of the fastest tunes that are counted in quarters (common practice).
const FASTEST_DOTTED_QUARTERS: f64 = 80.0;

/// The strokes of the bar before the music: all counts; in a fast 6/8 its two beats.
fn every_count(bar: &TimelineBar) -> Vec<u8> {
    if bar.meter == Meter::SixEight && bar.tempo.get() > FASTEST_DOTTED_QUARTERS {
        beats(bar.meter)
    } else {
        (1..=bar.meter.counts()).collect()
    }
}

/// The strokes of the bars before that one: halves in 4/4 and 2/2; in 3/4 the bar's first beat;
/// 5/4 as three and two; the two beats of 6/8.
fn half_counts(meter: Meter) -> Vec<u8> {
    match meter {
        Meter::FourFour | Meter::TwoTwo => vec![1, 3],
        Meter::ThreeFour => vec![1],
        Meter::FiveFour | Meter::SixEight => vec![1, 4],
    }
}
