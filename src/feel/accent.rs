//! Which notes stand out.

use crate::part::{Note, Part, Stroke};
use crate::units::{Meter, Ticks};

/// A note among its neighbours.
pub(super) struct Context<'a> {
    pub(super) part: Part,
    pub(super) meter: Meter,
    /// From the start of its bar.
    pub(super) in_bar: Ticks,
    /// The note before it and the one after it, of other strokes.
    pub(super) before: Option<&'a Note>,
    pub(super) after: Option<&'a Note>,
}

/// What to add to a note's velocity. The sizes are from memory; they are smaller than what
/// styles write, so that a style's own accents stay the larger ones.
pub(super) fn accent(note: &Note, context: &Context<'_>) -> i32 {
    if note.stroke == Stroke::Ghost {
        return 0;
    }
    let on_beat = context.in_bar.0 % context.meter.count().0 == 0;
    match context.part {
        Part::Line => contour(note, context) + if on_beat { 0 } else { 2 },
        // The short hit off the beat may be accented (common practice for the Charleston).
        Part::Comp => i32::from(!on_beat) * 3,
        // Two and four, in common time: the beats that the hi-hat is on.
        Part::Bass => {
            let count = context.in_bar.0 / context.meter.count().0;
            let back_beat = matches!(context.meter, Meter::FourFour | Meter::TwoTwo);
            i32::from(back_beat && on_beat && count % 2 == 1) * 3
        }
        // Ride strokes are even; what accents there are, the style has.
        Part::Drums | Part::Click | Part::CountIn => 0,
    }
}

/// The tops of a line stand out, its low points step back.
fn contour(note: &Note, context: &Context<'_>) -> i32 {
    let (Some(before), Some(after)) = (context.before, context.after) else { return 0 };
    if note.pitch > before.pitch && note.pitch > after.pitch {
        6
    } else if note.pitch < before.pitch && note.pitch < after.pitch {
        -4
    } else {
        0
    }
}
