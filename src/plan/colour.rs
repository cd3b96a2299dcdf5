//! The left hand under a line that alters its dominants.

use std::ops::Range;
use std::sync::Arc;

use crate::arrange::{BarKind, Timeline};
use crate::units::Ticks;

/// Gives the chords at these times of the form the flat ninth and thirteenth that an altered line
/// plays over them in its own bars, so that no hand plays the natural ones against it. Chords that write their
/// own tensions keep them.
pub(super) fn alter(timeline: &mut Timeline, altered: &[Range<Ticks>], own: &[bool]) {
    let of_line = timeline.bars.iter_mut().zip(own).filter(|(_, own)| **own);
    for (bar, _) in of_line.filter(|(bar, _)| bar.kind.passage() == BarKind::Chorus) {
        for slot in &mut bar.slots {
            let at = slot.at - bar.start + bar.in_form;
            let Some(harmony) = &slot.harmony else { continue };
            if altered.iter().any(|range| range.contains(&at)) && harmony.function.is_dominant() {
                slot.harmony = Some(Arc::new(harmony.altered()));
            }
        }
    }
}
