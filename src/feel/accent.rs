//! Which notes stand out.

use crate::part::{Note, Stroke};
use crate::performance::Part;
use crate::units::{Meter, Ticks};

/// Where a note stands.
#[derive(Debug, Clone, Copy)]
pub(super) struct Context {
    pub(super) part: Part,
    pub(super) meter: Meter,
    /// From the start of its bar.
    pub(super) in_bar: Ticks,
}

/// What to add to a note's velocity. The sizes are from memory; they are smaller than what
/// styles write, so that a style's own accents stay the larger ones.
pub(super) fn accent(note: &Note, context: Context) -> i32 {
    if note.stroke != Stroke::Full {
        return 0;
    }
    let on_beat = context.in_bar.0 % context.meter.count().0 == 0;
    match context.part {
        // The short hit off the beat may be accented (common practice for the Charleston).
        Part::Comp => i32::from(!on_beat) * 3,
        // Two and four, in common time: the beats that the hi-hat is on.
        Part::Bass => {
            let count = context.in_bar.0 / context.meter.count().0;
            let back_beat = matches!(context.meter, Meter::FourFour | Meter::TwoTwo);
            i32::from(back_beat && on_beat && count % 2 == 1) * 3
        }
        // A line comes with its phrasing (see `part::line`). Ride strokes are even; what accents
        // there are, the style has.
        Part::Line | Part::Drums | Part::Click | Part::CountIn => 0,
    }
}
