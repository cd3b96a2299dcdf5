//! No pitch sounds twice at once.

use super::PerformedNote;
use crate::units::Ticks;

/// Puts notes in order of start, then pitch, and lets each end where the next of its pitch
/// begins at the latest. Two notes of one pitch that were notated at the same time must have
/// become one before; two that deviations brought together are kept a tick apart.
pub(super) fn tidy(mut notes: Vec<PerformedNote>) -> Vec<PerformedNote> {
    notes.sort_by_key(|note| (note.pitch, note.on));
    for index in 1..notes.len() {
        let (earlier, later) = notes.split_at_mut(index);
        let (Some(note), Some(next)) = (earlier.last_mut(), later.first_mut()) else { continue };
        if note.pitch == next.pitch {
            next.on = next.on.max(note.on + Ticks(1));
            next.off = next.off.max(next.on + Ticks(1));
            note.off = note.off.min(next.on);
        }
    }
    notes.sort_by_key(|note| (note.on, note.pitch));
    notes
}
