//! Unintended ornaments. Where a technique is about neighbours or enclosures, plain notes
//! must not make one by accident, or a listener would count it as one of the others.

use crate::compose::group::Group;
use crate::compose::show::upper_neighbours;
use crate::melody::{Role, Technique};

use super::{Path, PathNote, Search};

/// Whether a note makes an ornament with the notes before it that is not in its group. `path` ends
/// on the note before.
pub(super) fn makes_ornament(
    search: &Search,
    path: Path,
    note: PathNote,
    number: usize,
    group: &Group,
) -> bool {
    let Some(last) = path.last else { return false };
    let Some(ground) = search.grounds[note.piece].as_ref() else { return false };
    if !ground.tone_set.contains(note.pitch) {
        return false;
    }
    // The chord tone that its own group leads to is what is meant.
    let arrives = matches!(group.notes[number].role, Role::ChordTone { .. });
    let is_led_to = number > 0
        && matches!(
            group.notes[number - 1].role,
            Role::Neighbour { .. } | Role::Enclosure { .. } | Role::Approach { .. }
        );
    let technique_of = |heard: PathNote| search.pieces[heard.piece].assignment.technique;
    let plain_last =
        search.grounds[last.piece].as_ref().is_some_and(|g| !g.tone_set.contains(last.pitch));
    let single = match technique_of(last) {
        Technique::LowerNeighbours => plain_last && note.pitch == last.pitch + 1,
        Technique::UpperNeighbours => plain_last && note.pitch + 1 == last.pitch,
        _ => false,
    };
    if arrives && is_led_to {
        return false;
    }
    let double = path.before.is_some_and(|before| {
        let (first, second, target) = (before.pitch, last.pitch, note.pitch);
        let about =
            |technique| technique_of(before) == technique || technique_of(last) == technique;
        let encloses = |below: u8, above: u8| {
            below + 1 == target
                && upper_neighbours(ground.scale_set, target).any(|upper| upper == above)
        };
        let approaches = (first + 2 == target && second + 1 == target)
            || (first == target + 2 && second == target + 1);
        about(Technique::Enclosures) && (encloses(first, second) || encloses(second, first))
            || about(Technique::DoubleApproaches) && approaches
    });
    single || double
}
