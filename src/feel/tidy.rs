//! No pitch sounds twice at once.

use super::PerformedNote;
use crate::units::Ticks;

/// Puts notes in order of start, then pitch, and lets each end where the next of its pitch
/// begins at the latest; in a loop of the given length, the last of a pitch where the first
/// comes round again. Two notes of one pitch that were notated at the same time must have become
/// one before; two that deviations brought together are kept a tick apart.
pub(super) fn tidy(
    mut notes: Vec<PerformedNote>,
    loop_length: Option<Ticks>,
) -> Vec<PerformedNote> {
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
    if let Some(length) = loop_length {
        for of_pitch in notes.chunk_by_mut(|note, next| note.pitch == next.pitch) {
            let Some(again) = of_pitch.first().map(|first| first.on + length) else { continue };
            if let Some(last) = of_pitch.last_mut() {
                last.off = last.off.min(again.max(last.on + Ticks(1)));
            }
        }
    }
    notes.sort_by_key(|note| (note.on, note.pitch));
    notes
}
